"""The damper's reservoir: from the parts in the file to a pressure over the oil pushed into it."""

from __future__ import annotations

from forkwright.bench.given import circle, si_or
from forkwright.hardware.damper import Reservoir
from forkwright.physics import P0
from forkwright.physics.reservoir import FULLEST_GAS, BladderReservoir, GasReservoir, SpringReservoir
from forkwright.physics.reservoir import Reservoir as ReservoirLaw


def reservoir_law(reservoir: Reservoir, ambient_pressure: float, exponent: float = 1.0) -> ReservoirLaw:
    """Return the reservoir's pressure law; pressures in the file are gauge at 101325 Pa.

    Parameters
    ----------
    reservoir : Reservoir
        The file's reservoir.
    ambient_pressure : float
        Pa absolute.
    exponent : float
        Polytropic exponent of its gas.

    Returns
    -------
    ReservoirLaw

    Notes
    -----
    A gas reservoir is taken as full at `FULLEST_GAS` of its volume: our own limit.
    """
    area = circle(reservoir.bore) if reservoir.bore is not None else 0.0
    if reservoir.kind == "spring":
        rate = si_or(reservoir.rate, 0.0)
        capacity = area * si_or(reservoir.stroke, 0.0)
        return SpringReservoir(area, rate * si_or(reservoir.preload, 0.0), rate, capacity, ambient_pressure)
    volume = si_or(reservoir.volume, 0.0)
    charge = P0 + si_or(reservoir.pressure, 0.0)
    if reservoir.kind == "gas":
        most = FULLEST_GAS * volume
        capacity = area * si_or(reservoir.stroke, 0.0) if area else most
        return GasReservoir(charge, volume, exponent, min(capacity, most))
    lifted = ambient_pressure - P0  # the bladder's outside is open
    return BladderReservoir(charge + lifted, P0 + si_or(reservoir.full_pressure, 0.0) + lifted, volume)


def reservoir_friction(reservoir: Reservoir) -> float:
    """Friction of the reservoir's piston as a pressure (Pa)."""
    if reservoir.friction is None or reservoir.bore is None:
        return 0.0
    return reservoir.friction.si / circle(reservoir.bore)
