"""The air trapped in the lower legs: its force, and how deep it lets the unit go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Unit
from forkwright.hardware.parts import LowerLegs
from forkwright.physics import Unphysical, gas
from forkwright.physics.values import Array, Value
from forkwright.units import show

_LEAST_GAS = 0.02  # share of the trapped air below which a leg counts as locked


@dataclass(frozen=True)
class LegAir:
    """Force (N), rate (N/m) and absolute pressure (Pa) of the air in one lower leg, over the travel."""

    force: Array
    rate: Array
    pressure: Array


def leg_airs(unit: Unit, conditions: Conditions, travel: Array, exponent: float) -> list[LegAir]:
    """Return the air of the air-spring leg and of the damper leg; empty where the file has no lower legs.

    Raises
    ------
    Unphysical
        If the stanchion would compress the air below zero volume; the message says at what travel.
    """
    return [_leg_air(unit, area, conditions, travel, exponent) for area in swept_areas(unit)]


def reachable_travel(unit: Unit) -> float:
    """Return how deep the trapped air lets the unit go: its full travel, or where a leg locks.

    Parameters
    ----------
    unit : Unit

    Returns
    -------
    float
        m.

    Notes
    -----
    Own definition: a leg counts as locked when 2 % of its air is left.
    """
    full = float(np.max(unit.travel.si))
    if unit.lower_legs is None:
        return full
    least = float(np.min(unit.lower_legs.air_volume.si)) * (1.0 - _LEAST_GAS)
    return min([full, *(least / float(np.max(area)) for area in swept_areas(unit))])


def lock_words(unit: Unit) -> str | None:
    """Return why the unit cannot reach its full travel, or None if it can."""
    reach = reachable_travel(unit)
    if reach >= float(np.max(unit.travel.si)) or unit.lower_legs is None:
        return None
    return (
        f"lower_legs.air_volume ({unit.lower_legs.air_volume.text or 'as given'}) is too small: "
        f"the stanchion would compress the trapped air to nothing at {show(reach, 'length')} of "
        f"{show(float(np.max(unit.travel.si)), 'length')} travel"
    )


def swept_areas(unit: Unit) -> list[Value]:
    """Return the areas that push into the air of the air-spring leg and of the damper leg.

    Parameters
    ----------
    unit : Unit

    Returns
    -------
    list of float or array
        m2; empty where the file has no lower legs.

    Raises
    ------
    Unphysical
        If a shaft is as wide as the stanchion that it goes into.

    Notes
    -----
    Source: geometry (derived): a stanchion comes in with its outer circle, and the shaft that stands on the
    lowers goes into it: the air spring's in one leg, the damper's in the other.
    """
    if unit.lower_legs is None or unit.chassis is None:
        return []
    outer = unit.chassis.stanchion_outer.si
    shafts = (
        unit.air_spring.shaft.si if unit.air_spring is not None else 0.0,
        unit.damper.shaft.si if unit.damper is not None else 0.0,
    )
    if np.any(outer <= np.max([np.max(shaft) for shaft in shafts])):
        raise Unphysical("chassis.stanchion_outer is no wider than a shaft that goes into the stanchion")
    return [np.pi / 4.0 * (outer**2 - shaft**2) for shaft in shafts]


def extended_pressure(legs: LowerLegs, conditions: Conditions) -> Value:
    """Return the absolute pressure of the trapped air at full extension.

    Parameters
    ----------
    legs : LowerLegs
    conditions : Conditions
        When the vent ports were last opened, and now.

    Returns
    -------
    float or array
        Pa.

    Notes
    -----
    Source: ideal gas at constant volume (derived): the pressure follows the temperature.
    """
    ingested = legs.ingested.si if legs.ingested is not None else 0.0
    return (conditions.fill_pressure + ingested) * conditions.temperature_ratio


def _leg_air(unit: Unit, area: Value, conditions: Conditions, travel: Array, exponent: float) -> LegAir:
    assert unit.lower_legs is not None
    legs = unit.lower_legs
    volume = legs.air_volume.si - area * travel
    if not np.all(volume > 0.0):
        raise Unphysical(lock_words(unit) or "the trapped air in a lower leg would be compressed below zero")
    at_extension = extended_pressure(legs, conditions)
    pressure = gas.pressure(at_extension, legs.air_volume.si, volume, exponent)
    force = (pressure - conditions.ambient_pressure) * area
    return LegAir(force, exponent * area**2 * pressure / volume, pressure)
