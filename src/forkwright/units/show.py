"""SI numbers back to text, in the units the user prefers."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from forkwright.units.dimensions import DIMENSIONS
from forkwright.units.errors import InputError
from forkwright.units.measure import Measure
from forkwright.units.registry import scale

Numbers = TypeVar("Numbers", float, NDArray[np.float64])

# Digits after the point that are worth showing, by unit.
_DECIMALS = {
    "psi": 1, "bar": 2, "kPa": 0, "Pa": 0, "MPa": 1, "mm": 1, "in": 3, "um": 0, "N": 0, "kgf": 1, "lbf": 1,
    "ml": 1, "in3": 2, "N/mm": 2, "lb/in": 1, "°C": 1, "°F": 1, "kg": 1, "lb": 1, "m/s": 2, "deg": 1, "": 3,
    "%": 1, "J": 1, "s": 1, "kgf/mm": 3,
}  # fmt: skip


@dataclass(frozen=True)
class UnitChoice:
    """The units a user wants to read, one per kind of quantity.

    Examples
    --------
    >>> show(586054.0, "pressure", UnitChoice(pressure="bar"))
    '5.86 bar'
    """

    pressure: str = "psi"
    length: str = "mm"
    force: str = "N"
    volume: str = "ml"
    stiffness: str = "N/mm"
    temperature: str = "°C"
    mass: str = "kg"
    speed: str = "m/s"
    angle: str = "deg"
    stress: str = "MPa"
    kinematic_viscosity: str = "cSt"

    def __post_init__(self) -> None:
        """Refuse a unit that does not measure what it is chosen for."""
        for entry in fields(self):
            symbol = getattr(self, entry.name)
            if scale(symbol, entry.name) is None:
                allowed = ", ".join(DIMENSIONS[entry.name].symbols)
                raise InputError(
                    f"'{symbol}' is no unit of {entry.name}", key=entry.name, value=symbol, allowed=allowed
                )


def unit_label(dimension: str, units: UnitChoice | None = None) -> str:
    """Return the symbol that `show` puts behind numbers of this kind."""
    chosen = getattr(units or UnitChoice(), dimension, None)
    return str(chosen) if chosen else DIMENSIONS[dimension].symbols[0]


def to_unit(si: Numbers, dimension: str, units: UnitChoice | None = None) -> Numbers:
    """Convert SI numbers (float or array) to the user's unit for this kind of quantity."""
    factor, offset = _scale(dimension, units)
    return (si - offset) / factor


def from_unit(number: Numbers, dimension: str, units: UnitChoice | None = None) -> Numbers:
    """Convert numbers in the user's unit back to SI."""
    factor, offset = _scale(dimension, units)
    return number * factor + offset


def show(si: float, dimension: str, units: UnitChoice | None = None, digits: int | None = None) -> str:
    """Write one SI number in the user's unit, rounded to what is worth reading.

    Parameters
    ----------
    si : float
        Value in SI.
    dimension : str
        Kind of quantity, for example "pressure".
    units : UnitChoice, optional
        The user's preferences.
    digits : int, optional
        Digits after the point; by default those usual for the unit.

    Examples
    --------
    >>> show(0.16, "length")
    '160.0 mm'
    """
    label = unit_label(dimension, units)
    number = to_unit(float(si), dimension, units)
    if not math.isfinite(number):
        return "not known"
    decimals = _DECIMALS.get(label, 2) if digits is None else digits
    text = f"{number:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return f"{text} {label}".rstrip()


def show_measure(measure: Measure, dimension: str, units: UnitChoice | None = None) -> str:
    """Write a measure with its tolerance, in the user's unit."""
    value = show(measure.si, dimension, units)
    if not measure.std:
        return value
    label = unit_label(dimension, units)
    spread = abs(measure.std / _scale(dimension, units)[0])
    decimals = max(0, 1 - math.floor(math.log10(spread)))
    number = to_unit(float(measure.si), dimension, units)
    return f"{number:.{decimals}f} ± {spread:.{decimals}f} {label}".rstrip()


def _scale(dimension: str, units: UnitChoice | None) -> tuple[float, float]:
    found = scale(unit_label(dimension, units), dimension)
    if found is None:  # UnitChoice has checked it already
        raise InputError(f"no unit for {dimension}", key=dimension)
    return found
