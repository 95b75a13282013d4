"""Where the rear wheel rests on its shock under a load."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.bench.rear_linkage import check_shock, fit_notes, full_wheel_travel, linkage_of
from forkwright.bench.sag import Sag, sag
from forkwright.hardware import Bike, Setting, Unit
from forkwright.physics.leverage import Linkage
from forkwright.physics.values import Array


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
