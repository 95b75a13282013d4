"""A shock seen from the rear wheel: force, rate, sag and damping through the leverage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.bench.sag import Sag, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Bike, Setting, Unit
from forkwright.hardware.leverage import Leverage
from forkwright.physics.leverage import Linkage
from forkwright.physics.values import Array
from forkwright.units import InputError

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


@dataclass(frozen=True)
class WheelSag:
    """Rest positions at the wheel, m, from the shock's."""

    middle: float
    low: float
    high: float
    rest: float
    ratio: float  # dw/ds at the middle, dimensionless
    wheel_load: float  # N
    full: float  # m, full wheel travel
    shock: Sag
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class WheelDamping:
    """A damper at one wheel travel, seen from the wheel; arrays over the shaft speeds it was read at, SI."""

    wheel_travel: float  # m
    ratio: float  # dw/ds there
    speed: Array  # m/s at the wheel
    force: Array  # N at the wheel


def linkage_of(bike: Bike) -> Linkage:
    """Return the bike's linkage as a curve.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    Linkage

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
    return Linkage(wheel, stroke, leverage.smoothing.si if leverage.smoothing is not None else 0.0)


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


def wheel_sag(
    unit: Unit,
    bike: Bike,
    wheel_load: float,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
) -> WheelSag:
    """Return the rear sag at the wheel under a wheel load (N).

    Parameters
    ----------
    unit : Unit
        A shock.
    bike : Bike
        With a leverage curve.
    wheel_load : float
        Vertical at the wheel, N.
    setting : Setting, optional
        The unit's own by default.
    conditions : Conditions, optional
        Sea level and 20 degC by default.

    Returns
    -------
    WheelSag
        Wheel travel, m.

    Raises
    ------
    InputError
        If the bike has no leverage curve, or the unit is no shock.

    Notes
    -----
    Source: virtual work (derived): the shock carries the wheel load times the leverage ratio at its stroke.
    """
    check_shock(unit)
    link = linkage_of(bike)
    found = sag(
        unit, shock_load(link, wheel_load), setting, conditions, push=gas_push(unit, conditions),
        extra_friction=seal_of(unit),
    )  # fmt: skip
    return at_the_wheel(found, unit, link, wheel_load)


def at_the_wheel(found: Sag, unit: Unit, link: Linkage, wheel_load: float | None = None) -> WheelSag:
    """Return a shock's sag as wheel travel; without a wheel load (N), that which balances the shock.

    Parameters
    ----------
    found : Sag
        The shock's.
    unit : Unit
        The shock.
    link : Linkage
    wheel_load : float, optional
        N; by default that which balances the shock.

    Returns
    -------
    WheelSag
        Wheel travel, m.

    Notes
    -----
    Source: virtual work (derived), see `physics.leverage.Linkage`.
    """
    middle, low, high, rest = (
        float(link.wheel_at(x)) for x in (found.middle, found.low, found.high, found.rest)
    )
    ratio = float(link.ratio(np.array([middle]))[0])
    notes = [*found.warnings, *fit_notes(unit, link)]
    if high >= link.full_wheel:
        notes.append("the load uses the whole wheel travel: the linkage is at its end")
    load = float(found.load) / ratio if wheel_load is None else wheel_load
    full = full_wheel_travel(unit, link)
    return WheelSag(middle, low, high, rest, ratio, load, full, found, tuple(notes))


def shock_load(link: Linkage, wheel_load: float) -> Callable[[Array], Array]:
    """Return what a wheel load (N) puts on the shock, N over its stroke (m)."""

    def at(stroke: Array) -> Array:
        return np.asarray(wheel_load * link.ratio(link.wheel_at(stroke)), np.float64)

    return at


def wheel_damping(
    bike: Bike, shaft_speed: Array, shaft_force: Array, *, stroke: float | None = None
) -> WheelDamping:
    """Return a damper curve (m/s, N at the shaft) as the rear wheel feels it at one stroke (m).

    Parameters
    ----------
    bike : Bike
        With a leverage curve.
    shaft_speed : array
        m/s, compression positive.
    shaft_force : array
        N, against compression positive.
    stroke : float, optional
        Of the shock, m; the middle by default.

    Returns
    -------
    WheelDamping
        m/s and N at the wheel.

    Notes
    -----
    Source: virtual work (derived): speeds grow by the leverage ratio, forces shrink by it.
    """
    link = linkage_of(bike)
    wheel = float(link.wheel_at(0.5 * link.full_stroke if stroke is None else stroke))
    ratio = float(link.ratio(np.array([wheel]))[0])
    return WheelDamping(wheel, ratio, shaft_speed * ratio, shaft_force / ratio)


def full_wheel_travel(unit: Unit, link: Linkage) -> float:
    """Return the wheel travel at which shock or linkage ends, whichever is first.

    Parameters
    ----------
    unit : Unit
    link : Linkage

    Returns
    -------
    float
        m.
    """
    return min(link.full_wheel, float(link.wheel_at(float(np.min(unit.travel.si)))))


def fit_notes(unit: Unit, link: Linkage) -> tuple[str, ...]:
    """Return what does not fit between a shock and a linkage.

    Parameters
    ----------
    unit : Unit
    link : Linkage

    Returns
    -------
    tuple of str
        Empty where their strokes agree to half a millimetre (own definition).
    """
    gap = link.full_stroke - float(np.max(unit.travel.si))
    if abs(gap) <= 0.0005:
        return ()
    if gap > 0:
        return (f"the linkage asks for {gap * 1e3:.1f} mm more stroke than the shock has: its end is never "
                "reached",)  # fmt: skip
    return (
        f"the linkage uses {-gap * 1e3:.1f} mm less stroke than the shock has: the wheel may meet the frame "
        "before the bumper works; see the maker's manual",
    )


def check_shock(unit: Unit) -> None:
    """Refuse a unit that is no shock.

    Parameters
    ----------
    unit : Unit
    """
    if unit.kind != "shock":
        raise InputError(
            "only a shock is reached through a leverage", key="kind", value=unit.kind, allowed="shock"
        )


def _gas_notes(gas: Array) -> tuple[str, ...]:
    if float(gas[-1]) < _TELLING_PUSH:
        return ()
    return (
        f"the damper's gas pushes with {gas[0]:.0f} to {gas[-1]:.0f} N on the shaft: in the values at "
        "the wheel, not in force_N of the spring alone",
    )
