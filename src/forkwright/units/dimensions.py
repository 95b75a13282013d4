"""The kinds of quantity that forkwright reads and shows: SI unit, accepted symbols, and what to expect.

Factors come from Pint's registry (`registry.py`); this file only says which symbols a technician may write
for which kind of quantity.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Dimension:
    """One kind of quantity.

    Parameters
    ----------
    name : str
        Key used in the code, for example "pressure".
    si : str
        Pint's name of the SI unit that numbers are kept in.
    symbols : tuple of str
        Symbols for messages and menus, the usual one first.
    words : str
        The kind in plain words.
    """

    name: str
    si: str
    symbols: tuple[str, ...]
    words: str


DIMENSIONS: dict[str, Dimension] = {
    d.name: d
    for d in (
        Dimension("length", "m", ("mm", "cm", "m", "in", "um"), "a length"),
        Dimension("area", "m**2", ("mm2", "cm2", "m2", "in2"), "an area"),
        Dimension("volume", "m**3", ("ml", "cc", "cm3", "mm3", "l", "in3"), "a volume"),
        Dimension("pressure", "Pa", ("psi", "bar", "kPa", "Pa", "MPa"), "a pressure"),
        Dimension("force", "N", ("N", "kgf", "lbf", "kN"), "a force"),
        Dimension("stiffness", "N/m", ("N/mm", "lb/in", "lbf/in", "N/m", "kgf/mm"), "a spring rate"),
        Dimension("damping", "N*s/m", ("N s/m",), "a damping coefficient"),
        Dimension("mass", "kg", ("kg", "g", "lb"), "a mass"),
        Dimension("temperature", "K", ("°C", "°F", "K"), "a temperature"),
        Dimension("temperature_difference", "K", ("K",), "a temperature difference"),
        Dimension("angle", "rad", ("deg", "°", "rad"), "an angle"),
        Dimension("speed", "m/s", ("m/s", "km/h", "mph", "mm/s"), "a speed"),
        Dimension("time", "s", ("s", "ms", "min", "h", "day"), "a time"),
        Dimension("frequency", "Hz", ("Hz",), "a frequency"),
        Dimension("acceleration", "m/s**2", ("m/s2", "g0"), "an acceleration"),
        Dimension("dimensionless", "1", ("", "%"), "a plain number"),
        Dimension("density", "kg/m**3", ("kg/m3", "g/ml", "g/cm3"), "a density"),
        Dimension("kinematic_viscosity", "m**2/s", ("cSt", "mm2/s", "m2/s"), "a kinematic viscosity"),
        Dimension("dynamic_viscosity", "Pa*s", ("mPa s", "cP", "Pa s"), "a dynamic viscosity"),
        Dimension("stress", "Pa", ("MPa", "GPa", "Pa", "N/mm2"), "a stress or modulus"),
        Dimension("energy", "J", ("J", "kJ"), "an energy"),
        Dimension("power", "W", ("W",), "a power"),
        Dimension("heat_conductance", "W/K", ("W/K",), "a heat conductance"),
        Dimension("heat_capacity", "J/K", ("J/K",), "a heat capacity"),
        Dimension("specific_heat", "J/kg/K", ("J/kg/K", "kJ/kg/K"), "a specific heat"),
        Dimension("thermal_expansion", "1/K", ("1/K",), "a thermal expansion coefficient"),
        Dimension("bending_stiffness", "N*m**2", ("N m2",), "a bending stiffness"),
        Dimension("inertia", "kg*m**2", ("kg m2",), "a moment of inertia"),
        Dimension("torque", "N*m", ("N m",), "a torque"),
        Dimension("flow", "m**3/s", ("ml/s", "l/min", "m3/s"), "a flow"),
    )
}
