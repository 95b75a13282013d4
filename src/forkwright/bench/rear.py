"""A shock seen from the rear wheel: force, rate, sag and damping through the leverage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Sag, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Bike, Setting, Unit
from forkwright.hardware.leverage import Leverage
from forkwright.physics.leverage import Linkage
from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class WheelCurve:
    """A shock's spring at the wheel. Arrays over the wheel travel, SI."""

    wheel_travel: Array  # m
    stroke: Array  # m
    ratio: Array  # dw/ds, dimensionless
    force: Array  # N at the wheel, friction-free
    rate: Array  # N/m at the wheel, linkage progression included
    friction: Array  # N at the wheel
    spring: SpringCurve  # the shock itself at these strokes
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class WheelSag:
    """Rest positions at the wheel, m, from the shock's."""

    middle: float
    low: float
    high: float
    rest: float
    wheel_load: float  # N
    full: float  # m, full wheel travel
    shock: Sag
    warnings: tuple[str, ...]


def linkage_of(bike: Bike) -> Linkage:
    """Return the bike's linkage as a curve.

    Raises
    ------
    InputError
        If the bike has no leverage curve.
    """
    if bike.leverage is None:
        raise InputError("the bike has no leverage curve: a shock needs one", key="leverage")
    return linkage_from(bike.leverage)


def linkage_from(leverage: Leverage) -> Linkage:
    """Return measured leverage points as a curve."""
    wheel = np.array([float(point.wheel.si) for point in leverage.points])
    stroke = np.array([float(point.stroke.si) for point in leverage.points])
    return Linkage(wheel, stroke, leverage.smoothing)


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
    Source: virtual work (derived): ``F_w = F_s / r`` and ``dF_w/dw = (dF_s/ds) / r**2 - F_s r' / r**2`` with the
    leverage ratio r = dw/ds and its slope r' along the wheel travel.
    """
    if unit.kind != "shock":
        raise InputError(
            "only a shock is reached through a leverage", key="kind", value=unit.kind, allowed="shock"
        )
    link = linkage_of(bike)
    wheel = np.linspace(0.0, _full_wheel(unit, link), points)
    stroke, ratio = link.stroke_at(wheel), link.ratio(wheel)
    spring = spring_curve(unit, setting, conditions, exponent=exponent, travel=stroke)
    slope = np.gradient(ratio, wheel)
    return WheelCurve(
        wheel_travel=wheel,
        stroke=stroke,
        ratio=ratio,
        force=spring.force / ratio,
        rate=spring.rate / ratio**2 - spring.force * slope / ratio**2,
        friction=spring.friction / ratio,
        spring=spring,
        warnings=(*spring.warnings, *_fit_notes(unit, link)),
    )


def wheel_sag(
    unit: Unit,
    bike: Bike,
    wheel_load: float,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
) -> WheelSag:
    """Return the rear sag at the wheel under a wheel load (N).

    Notes
    -----
    Source: virtual work (derived): the shock carries the wheel load times the leverage ratio at its stroke.
    """
    link = linkage_of(bike)

    def at_shock(stroke: Array) -> Array:
        return np.asarray(wheel_load * link.ratio(link.wheel_at(stroke)), np.float64)

    found = sag(unit, at_shock, setting, conditions)
    middle, low, high, rest = (
        float(link.wheel_at(x)) for x in (found.middle, found.low, found.high, found.rest)
    )
    return WheelSag(
        0.5 * (low + high) if low < high else middle, low, high, rest, wheel_load, _full_wheel(unit, link), found,
        (*found.warnings, *_fit_notes(unit, link)),
    )  # fmt: skip


def at_wheel(
    link: Linkage, wheel_travel: float, shaft_speed: Array, shaft_force: Array
) -> tuple[Array, Array]:
    """Return wheel speed (m/s) and wheel force (N) of a damper curve at one wheel travel (m)."""
    ratio = float(link.ratio(np.array([wheel_travel]))[0])
    return np.asarray(shaft_speed * ratio, np.float64), np.asarray(shaft_force / ratio, np.float64)


def _full_wheel(unit: Unit, link: Linkage) -> float:
    return min(link.full_wheel, float(link.wheel_at(unit.travel.si)))


def _fit_notes(unit: Unit, link: Linkage) -> tuple[str, ...]:
    end = float(link.stroke_at(link.full_wheel))
    gap = end - float(np.max(unit.travel.si))
    if abs(gap) <= 0.0005:
        return ()
    if gap > 0:
        return (
            f"the linkage asks for {gap * 1e3:.1f} mm more stroke than the shock has: its end is never reached",
        )
    return (f"the linkage uses {-gap * 1e3:.1f} mm less stroke than the shock has",)
