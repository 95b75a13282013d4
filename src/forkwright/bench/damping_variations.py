"""The damping curve asked again: one click more, other draws from the tolerances, margin over clicks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from forkwright.bench.bands import Band, band_of
from forkwright.bench.damping import (
    WORKSHOP_OIL,
    DampingCurve,
    built_model,
    checked_position,
    checked_speeds,
    damper_of,
    damping_curve,
    told_curve,
)
from forkwright.bench.stack_maps import COARSE
from forkwright.hardware import Setting, Unit, check_setting, drawn, measures, replaced
from forkwright.physics import P0, Unphysical
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.values import Array
from forkwright.units import InputError

CLICK_SPEEDS = (0.1, 0.5, 1.0, 2.0, 4.0)
"""Speeds at which the effect of a click is told (m/s)."""


@dataclass(frozen=True)
class ClickEffect:
    """What one click of one adjuster changes.

    Parameters
    ----------
    adjuster : str
        low_speed, high_speed or rebound.
    clicks : int
        From fully closed, before the click.
    step : int
        +1 one click open, -1 one click closed.
    speed : ndarray, shape (10,)
        m/s, rebound (negative) first.
    force_change : ndarray, shape (10,)
        N, force after the click less force before.
    """

    adjuster: str
    clicks: int
    step: int
    speed: Array
    force_change: Array


def click_effects(
    unit: Unit,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: tuple[float, ...] = CLICK_SPEEDS,
) -> tuple[ClickEffect, ...]:
    """What one click of each adjuster, each way, changes at given speeds (m/s, both directions).

    `oil_temperature` in K. Clicks that do not exist (beyond either end) are left out.

    Parameters
    ----------
    unit : Unit
        As it was read from its file.
    setting : Setting, optional
        The unit's own by default.
    oil_temperature : float
        K.
    speeds : tuple of float
        m/s, above zero; both directions are looked at.

    Returns
    -------
    tuple of ClickEffect
        Changes of force, N.
    """
    setting = unit.setting if setting is None else setting
    speed = np.concatenate((-np.array(speeds)[::-1], speeds))
    before = damping_curve(unit, setting, oil_temperature, speed)
    effects = []
    for adjuster, most in damper_of(unit).click_ranges().items():
        for step in (1, -1):
            clicks = before.clicks[adjuster]
            if 0 <= clicks + step <= most:
                changed = setting.changed(**{**before.clicks, adjuster: clicks + step})
                after = damping_curve(unit, changed, oil_temperature, speed)
                effects.append(ClickEffect(adjuster, clicks, step, speed, after.force - before.force))
    return tuple(effects)


def damping_bands(
    unit: Unit,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    *,
    position: float | None = None,
    ambient_pressure: float = P0,
    draws: int = 200,
    seed: int = 1,
    fields: tuple[str, ...] = ("force",),
    progress: Callable[[float], None] | None = None,
) -> dict[str, Band]:
    """Return bands of `DampingCurve` fields over the speeds, from the tolerances of every measure.

    Parameters
    ----------
    unit, setting, oil_temperature, speeds, position, ambient_pressure
        As in `damping_curve` (K, m/s, m, Pa absolute).
    draws : int
        Units drawn; each solves its own shim stacks.
    seed : int
        The same seed gives the same bands.
    fields : tuple of str
        Fields of `DampingCurve`.
    progress : callable, optional
        Told the share done, 0 to 1; it may raise to cancel.

    Returns
    -------
    dict of str to Band
        By field; arrays of shape (n,), in the field's SI unit.

    Notes
    -----
    Source: Monte-Carlo propagation, JCGM 101:2008, clause 7. A draw that cannot exist (a shim as narrow as
    its clamp, say) is left out.
    """
    setting = unit.setting if setting is None else setting
    speed = checked_speeds(speeds)
    rows: dict[str, list[Array]] = {name: [] for name in fields}
    check_setting(unit, setting)
    place = checked_position(unit, position)
    for number, one in enumerate(drawn_dampers(unit, draws, seed), start=1):
        curve = _drawn_curve(one, setting, oil_temperature, speed, place, ambient_pressure)
        if curve is not None:
            for name, found in rows.items():
                found.append(getattr(curve, name))
        if progress is not None:
            progress(number / draws)
    if not rows[fields[0]]:
        raise Unphysical("no draw from the tolerances gives a damper that can exist")
    return {name: band_of(np.array(found).T.copy()) for name, found in rows.items()}


def drawn_dampers(unit: Unit, draws: int, seed: int) -> Iterator[Unit]:
    """Yield units whose damper's measures are drawn from their tolerances, one draw each."""
    damper = damper_of(unit)
    many = measures(drawn(damper, draws, seed))
    values = {path: np.ravel(measure.si) for path, measure in many.items() if np.size(measure.si) > 1}
    for number in range(draws):
        one = replaced(damper, {path: float(found[number]) for path, found in values.items()})
        yield unit.model_copy(update={"damper": one})


@dataclass(frozen=True)
class CavitationMap:
    """Cavitation margin over speed and clicks.

    Parameters
    ----------
    speed : ndarray, shape (n,)
        m/s.
    clicks : ndarray of int, shape (m,)
        Of `adjuster`, from fully closed.
    margin : ndarray, shape (m, n)
        Pa; below zero the oil parts.
    adjuster : str
    """

    speed: Array
    clicks: NDArray[np.int64]
    margin: Array
    adjuster: str


def cavitation_map(
    unit: Unit,
    adjuster: str,
    setting: Setting | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    *,
    position: float | None = None,
    ambient_pressure: float = P0,
    stiffening: bool = False,
) -> CavitationMap:
    """Cavitation margin (Pa) over speeds (m/s) for every click of one adjuster; oil temperature in K.

    Parameters
    ----------
    unit : Unit
        As it was read from its file.
    adjuster : str
        `low_speed`, `high_speed` or `rebound`.
    setting : Setting, optional
        The unit's own by default.
    oil_temperature : float
        K.
    speeds : array_like, optional
        m/s, compression positive.
    position : float, optional
        Compression at which the reservoir stands, m; mid-travel by default.
    ambient_pressure : float
        Outside, Pa absolute.
    stiffening : bool
        Let the shims stretch as well as bend.

    Returns
    -------
    CavitationMap
        Margin in Pa, shape (clicks, speeds).
    """
    setting = unit.setting if setting is None else setting
    ranges = damper_of(unit).click_ranges()
    if adjuster not in ranges:
        raise InputError("the unit has no such adjuster", value=adjuster, allowed=", ".join(ranges))
    clicks = np.arange(ranges[adjuster] + 1, dtype=np.int64)
    speed = checked_speeds(speeds)
    rows = [
        damping_curve(
            unit,
            setting.changed(**{adjuster: int(number)}),
            oil_temperature,
            speed,
            position=position,
            ambient_pressure=ambient_pressure,
            stiffening=stiffening,
        ).cavitation_margin
        for number in clicks
    ]
    return CavitationMap(speed, clicks, np.array(rows), adjuster)


def _drawn_curve(
    unit: Unit, setting: Setting, oil_temperature: float, speed: Array, place: float, ambient: float
) -> DampingCurve | None:
    """Return one draw's curve without asking its shims for stress; None if such a damper cannot exist."""
    try:
        model = built_model(unit, setting, oil_temperature, place, ambient, fineness=COARSE)
        state = steady_state(model.circuit, speed)
    except Unphysical:
        return None
    return told_curve(unit, model, state, oil_temperature, place, [])
