"""The virtual spring bench: force, chamber pressures, friction and rate over the travel."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from forkwright.bench.chambers import chambers_of, fill_of
from forkwright.bench.chassis import clamps_in_misalignment
from forkwright.bench.coil import coil_warnings, preload_of
from forkwright.bench.conditions import Conditions
from forkwright.bench.friction import running_friction
from forkwright.bench.lower_legs import leg_airs
from forkwright.hardware import Setting, Unit, with_setting
from forkwright.physics import Unphysical, bumpers
from forkwright.physics.air_spring import AirState, charge, state
from forkwright.physics.values import Array

POINTS = 161


@dataclass(frozen=True)
class SpringCurve:
    """What the spring bench reads. Every array follows the travel axis (last); SI, pressures absolute.

    For a drawn unit the arrays have a leading axis of draws.
    """

    travel: Array  # m, compression from full extension
    force: Array  # N, friction-free, with bumpers and lower-leg air; positive pushes towards extension
    rate: Array  # N/m, derivative of force
    positive: Array  # Pa; ambient where there is no air spring
    negative: Array  # Pa; ambient where there is no negative chamber
    lower_leg: Array  # Pa, in the air-spring leg
    lower_leg_damper: Array  # Pa, in the damper leg
    floating: Array  # m, movement of the floating piston; zeros without one
    secondary: Array  # Pa, behind the floating piston; ambient without one
    friction: Array  # N, running friction of seals and bushings, a magnitude
    exponent: float
    warnings: tuple[str, ...]
    unit: Unit = field(repr=False)  # as it was read, setting included

    @property
    def fingerprint(self) -> str:
        """The fingerprint of the input that made this curve."""
        return self.unit.fingerprint


def spring_curve(
    unit: Unit,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
    *,
    exponent: float = 1.0,
    points: int = POINTS,
    travel: Array | None = None,
    side_load: float = 0.0,
) -> SpringCurve:
    """Compress a unit on the bench and read force, pressures and friction.

    Parameters
    ----------
    unit : Unit
        Also a drawn unit, whose measures hold columns of values.
    setting : Setting, optional
        By default the one in the unit's file.
    conditions : Conditions, optional
        By default sea level and 20 degC, now and at filling.
    exponent : float
        Polytropic exponent: 1 slow bench, 1.4 the fast limit.
    points : int
        Number of points from 0 to full travel, evenly spaced.
    travel : array, optional
        Compressions to read at instead (m); may be negative (beyond full extension).
    side_load : float
        Force at the axle normal to the leg axis, N (loads the bushings).

    Returns
    -------
    SpringCurve

    Raises
    ------
    InputError
        If the unit must not be given this setting.
    Unphysical
        If a chamber would be compressed below zero volume, or the exponent makes no sense.

    Notes
    -----
    Source: `models` 1 and 2 of the theory page; each term's own source stands in `forkwright.physics`.

    Examples
    --------
    >>> import forkwright as fw
    >>> curve = fw.spring_curve(fw.load(fw.demo_file("dunlin-160")))
    >>> curve.travel.shape
    (161,)
    """
    conditions = conditions or Conditions()
    unit = with_setting(unit, setting)
    setting = unit.setting
    if not 0.99 <= exponent <= 1.7:
        raise Unphysical(f"a polytropic exponent of {exponent:g} is no gas of ours; allowed: 1 to 1.67")
    x = np.linspace(0.0, np.max(unit.travel.si), points) if travel is None else np.asarray(travel, np.float64)
    ambient = conditions.ambient_pressure
    air = _air_state(unit, setting, conditions, x, exponent)
    force, rate = (air.force, air.rate) if air is not None else (np.zeros_like(x), np.zeros_like(x))
    legs = leg_airs(unit, conditions, x, exponent)
    for part in (*((leg.force, leg.rate) for leg in legs), *_stops_and_coils(unit, setting, x)):
        force, rate = force + part[0], rate + part[1]
    friction = running_friction(unit, air, x, ambient, side_load)
    nothing = np.full_like(x, ambient)
    return SpringCurve(
        travel=x,
        force=force,
        rate=rate,
        positive=air.positive if air is not None else nothing,
        negative=air.negative if air is not None else nothing,
        lower_leg=legs[0].pressure if legs else nothing,
        lower_leg_damper=legs[1].pressure if legs else nothing,
        floating=air.movement if air is not None else np.zeros_like(x),
        secondary=air.secondary if air is not None and air.secondary is not None else nothing,
        friction=friction,
        exponent=exponent,
        warnings=tuple(_range_warnings(unit, setting, air)),
        unit=unit,
    )


def _air_state(
    unit: Unit, setting: Setting, conditions: Conditions, travel: Array, exponent: float
) -> AirState | None:
    if unit.air_spring is None:
        return None
    ambient = conditions.ambient_pressure
    chambers = chambers_of(unit.air_spring, setting.spacers)
    return state(chambers, charge(chambers, fill_of(setting, conditions), exponent, ambient), travel, ambient)


def _stops_and_coils(unit: Unit, setting: Setting, travel: Array) -> list[tuple[Array, Array]]:
    parts: list[tuple[Array, Array]] = []
    bottom, top = unit.bumpers.bottom_out, unit.bumpers.top_out
    if bottom is not None:
        parts.append(
            bumpers.bottom_out_force(
                travel, unit.travel.si, bottom.length.si, bottom.rate.si, bottom.exponent.si
            )
        )
    if top is not None:
        parts.append(bumpers.top_out_force(travel, top.rate.si))
    air = unit.air_spring
    if air is not None and air.negative == "coil" and air.negative_coil is not None:
        parts.append(
            bumpers.negative_coil_force(travel, air.negative_coil.rate.si, air.negative_coil.length.si)
        )
    coil = unit.coil_spring
    if coil is not None:
        parts.append(bumpers.coil_force(travel, coil.rate.si, preload_of(coil, setting)))
    return parts


def _range_warnings(unit: Unit, setting: Setting, air: AirState | None) -> list[str]:
    notes: list[str] = []
    spring = unit.air_spring
    if spring is not None and spring.floating is not None and air is not None:
        if np.any(air.movement >= spring.floating.stroke.si * (1 - 1e-9)):
            notes.append("the floating piston is fully displaced before full travel: no more ramp from it")
        if np.any(air.movement[..., 0] > 0.0):
            notes.append(
                "the floating piston is already displaced at full extension: its set pressure is low"
            )
    notes += coil_warnings(unit, setting)
    chassis = unit.chassis
    if chassis is not None and clamps_in_misalignment(chassis) and chassis.axle_to_crown is None:
        notes.append("axle_to_crown is not given: it is assumed for the load of the clamped-in misalignment")
    return notes
