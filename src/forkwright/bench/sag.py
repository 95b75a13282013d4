"""Where a unit rests under a load: a band, because friction lets it rest anywhere within."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.friction import breakaway_factor
from forkwright.bench.lower_legs import lock_words, reachable_travel
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics import Unphysical
from forkwright.physics.values import Array, Value

Load = float | Callable[[Array], Array]
"""A load along a unit's axis, N; a callable gives it over the travel (m)."""

_POINTS = 1601


@dataclass(frozen=True)
class Sag:
    """Rest positions under a static load, m of compression from full extension.

    For a drawn unit every field holds one value per draw.
    """

    middle: Value  # middle of the band
    low: Value  # shallowest rest position (settled from extension)
    high: Value  # deepest rest position (settled from deep)
    rest: Value  # where the unloaded unit rests: the travel lost to the negative spring
    load: Value  # N along the unit's axis, at the middle of the band
    friction: Value  # N, break-away friction at the middle of the band
    warnings: tuple[str, ...]
    unit: Unit = field(repr=False)  # as it was read, setting included

    @property
    def fingerprint(self) -> str:
        """The fingerprint of the input that made this band."""
        return self.unit.fingerprint


def sag(
    unit: Unit,
    load: Load,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
    *,
    side_load: float = 0.0,
    push: Callable[[Array], Array] | None = None,
    extra_friction: float = 0.0,
    points: int = _POINTS,
) -> Sag:
    """Return where a unit rests under an axial load, as a band.

    Parameters
    ----------
    unit : Unit
        Also a drawn unit.
    load : float or callable
        Load along the unit's axis, N, pushing it into its travel; a callable gives it over the travel (m),
        as a leverage does, and may be negative where something else lifts the unit more than it is loaded.
    setting : Setting, optional
        By default the one in the unit's file.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    side_load : float
        Force at the axle normal to the leg axis, N; it presses the bushings.
    push : callable, optional
        Another force towards extension over the travel (m), N, such as that of a damper's gas on its shaft.
    extra_friction : float
        Friction besides that of spring and bushings, N, such as that of a damper's seal.
    points : int
        Points of the grid on which the crossings are interpolated.

    Returns
    -------
    Sag

    Raises
    ------
    Unphysical
        For a load that is negative or no number.

    Notes
    -----
    Source: Coulomb friction with a break-away factor b (derived): the unit rests at every x with
    ``|F(x) - load| <= b F_friction(x)``. The slow (isothermal) spring curve is used; crossings are
    interpolated on a grid of a 1600th of the travel.
    """
    full = reachable_travel(unit)
    curve = spring_curve(
        unit, setting, conditions, travel=np.linspace(0.0, full, points), side_load=side_load
    )
    at = load(curve.travel) if callable(load) else np.full_like(curve.travel, load)
    if not np.all(np.isfinite(at)) or (not callable(load) and np.any(at < 0.0)):
        raise Unphysical(f"a load of {np.min(at):g} N cannot be carried; it must be zero or more")
    force = curve.force if push is None else curve.force + push(curve.travel)
    held = breakaway_factor(unit) * (curve.friction + extra_friction)
    low = first_crossing(curve.travel, force + held - at, 0.0)
    high = last_crossing(curve.travel, force - held - at, 0.0)
    middle = 0.5 * (low + high)
    friction = _at_or_after(curve.travel, np.broadcast_to(held, force.shape), middle)
    rest = last_crossing(curve.travel, force, 0.0)
    carried = np.interp(middle, curve.travel, at)
    return Sag(middle, low, high, rest, carried, friction, _notes(curve, low, high, full), curve.unit)


def first_crossing(travel: Array, force: Array, level: float) -> Value:
    """Return the first travel at which `force` reaches `level`; the ends of the travel where it never does.

    `force` may have leading axes; one value is returned for each.
    """
    reached = force >= level
    index = np.argmax(reached, axis=-1)
    never = ~reached.any(axis=-1)
    return np.where(never, travel[-1], _between(travel, force, level, np.maximum(index, 1)))[()]


def last_crossing(travel: Array, force: Array, level: float) -> Value:
    """Return the last travel at which `force` is still at or below `level`; the ends where there is none."""
    below = force <= level
    last = force.shape[-1] - 1 - np.argmax(below[..., ::-1], axis=-1)
    never = ~below.any(axis=-1)
    found = _between(travel, force, level, np.minimum(last + 1, force.shape[-1] - 1))
    return np.where(never, travel[0], np.where(last == force.shape[-1] - 1, travel[-1], found))[()]


def _between(travel: Array, force: Array, level: float, index: Value) -> Value:
    """Interpolate the travel at `level` between the points before `index` and at it, within that interval."""
    after = np.take_along_axis(force, np.expand_dims(index, -1), -1)[..., 0]
    before = np.take_along_axis(force, np.expand_dims(index - 1, -1), -1)[..., 0]
    rise = after - before
    share = np.clip((level - before) / np.where(rise == 0.0, 1.0, rise), 0.0, 1.0)
    return travel[index - 1] + share * (travel[index] - travel[index - 1])


def _at_or_after(travel: Array, values: Array, where: Value) -> Value:
    """Return the values at the first point of the grid that is not before `where`."""
    index = np.clip(np.searchsorted(travel, where), 0, travel.size - 1)
    return np.take_along_axis(values, np.expand_dims(index, -1), -1)[..., 0][()]


def _notes(curve: SpringCurve, low: Value, high: Value, full: float) -> tuple[str, ...]:
    notes = list(curve.warnings)
    locked = lock_words(curve.unit)
    if np.any(low >= full):
        notes.append("the load uses the whole travel: the unit is bottomed")
    elif np.any(high >= full):
        notes.append("friction can hold the unit at full travel: the unit can stay bottomed out")
    if locked is not None:
        notes.append(locked)
    if np.any(low <= 0.0):
        notes.append("the load does not overcome friction at full extension: the unit can stay topped out")
    return tuple(notes)
