"""A shock's spring as the rear wheel feels it: force, rate and friction over the wheel travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.bench.rear_linkage import check_shock, fit_notes, full_wheel_travel, linkage_of
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Bike, Setting, Unit
from forkwright.physics.leverage import Linkage
from forkwright.physics.values import Array

_TELLING_PUSH = 20.0  # N at the shaft; above it the gas is worth a word


@dataclass(frozen=True)
class WheelCurve:
    """A shock's spring at the wheel. Arrays over the wheel travel, SI."""

    wheel_travel: Array  # m
    stroke: Array  # m
    ratio: Array  # dw/ds, dimensionless
    force: Array  # N at the wheel, friction-free, the damper's gas included
    rate: Array  # N/m at the wheel, linkage progression included
    friction: Array  # N at the wheel, the damper's seal included
    gas_push: Array  # N at the shaft: the damper's gas on its shaft, at rest
    spring: SpringCurve  # the shock itself at these strokes
    method: str  # how the leverage points are joined
    warnings: tuple[str, ...]


def wheel_curve(
    unit: Unit,
    bike: Bike,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
    *,
    exponent: float = 1.0,
    points: int = 161,
) -> WheelCurve:
    """Return a shock's spring at the rear wheel.

    Parameters
    ----------
    unit : Unit
        A shock.
    bike : Bike
        With a leverage curve.
    setting, conditions, exponent
        As in `spring_curve`.
    points : int
        From zero to the wheel travel at which shock or linkage ends.

    Returns
    -------
    WheelCurve

    Raises
    ------
    InputError
        If the bike has no leverage curve, or the unit is no shock.

    Notes
    -----
    Source: virtual work (derived), see `physics.leverage.Linkage`. The gas behind a damper's reservoir piston
    pushes on the shaft; the shock's own spring curve leaves it out, the wheel feels it.

    Examples
    --------
    >>> import forkwright as fw
    >>> curve = wheel_curve(fw.load(fw.demo_file("linnet-65")), fw.load(fw.demo_file("bike")))
    >>> round(float(curve.wheel_travel[-1]), 3)
    0.165
    """
    check_shock(unit)
    link = linkage_of(bike)
    wheel = np.linspace(0.0, full_wheel_travel(unit, link), points)
    stroke = np.minimum(link.stroke_at(wheel), float(unit.travel.si))
    spring = spring_curve(unit, setting, conditions, exponent=exponent, travel=stroke)
    return _seen_from_the_wheel(spring, wheel, link, conditions)


def at_wheel(spring: SpringCurve, bike: Bike, conditions: Conditions | None = None) -> WheelCurve:
    """Return a shock's spring curve, at the strokes it was read at, as the rear wheel feels it.

    Strokes beyond the linkage's end are left out.

    Parameters
    ----------
    spring : SpringCurve
        The shock's.
    bike : Bike
        With a leverage curve.
    conditions : Conditions, optional
        Sea level and 20 degC by default.

    Returns
    -------
    WheelCurve

    Raises
    ------
    InputError
        If the bike has no leverage curve, or the unit is no shock.
    """
    check_shock(spring.unit)
    link = linkage_of(bike)
    return _seen_from_the_wheel(spring, link.wheel_at(spring.travel), link, conditions)


def _seen_from_the_wheel(
    spring: SpringCurve, wheel: Array, link: Linkage, conditions: Conditions | None
) -> WheelCurve:
    within = spring.travel <= link.full_stroke * (1.0 + 1e-9)
    wheel, stroke = wheel[within], spring.travel[within]
    push = gas_push(spring.unit, conditions, exponent=spring.exponent)
    gas = push(stroke)
    gas_rate = np.gradient(gas, stroke) if stroke.size > 1 else np.zeros_like(gas)
    force, rate = spring.force[within] + gas, spring.rate[within] + gas_rate
    return WheelCurve(
        wheel_travel=wheel,
        stroke=stroke,
        ratio=link.ratio(wheel),
        force=link.wheel_force(wheel, force),
        rate=link.wheel_rate(wheel, force, rate),
        friction=link.wheel_force(wheel, spring.friction[within] + seal_of(spring.unit)),
        gas_push=gas,
        spring=spring,
        method=link.method,
        warnings=(*spring.warnings, *_gas_notes(gas), *fit_notes(spring.unit, link)),
    )


def _gas_notes(gas: Array) -> tuple[str, ...]:
    if float(gas[-1]) < _TELLING_PUSH:
        return ()
    return (
        f"the damper's gas pushes with {gas[0]:.0f} to {gas[-1]:.0f} N on the shaft: counted "
        "at the wheel, not in the force of the spring alone",
    )
