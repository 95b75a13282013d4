"""The damping curve asked again for other clicks: what one click changes, and the margin at every click."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from forkwright.bench.damper_setup import checked_speeds, damper_of
from forkwright.bench.damping import WORKSHOP_OIL, DampingCurve, damping_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics import P0
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
    *,
    position: float | None = None,
    ambient_pressure: float = P0,
    stiffening: bool = False,
    tell: Callable[[float], None] | None = None,
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
    position : float, optional
        Compression at which the reservoir stands, m; mid-travel by default.
    ambient_pressure : float
        Outside, Pa absolute.
    stiffening : bool
        Let the shims stretch as well as bend.
    tell : callable, optional
        Told the share of the curves that is done; may raise to stop.

    Returns
    -------
    tuple of ClickEffect
        Changes of force, N.

    Notes
    -----
    Source: differences of `damping_curve`, one click apart (derived).
    """
    setting = unit.setting if setting is None else setting
    speed = np.concatenate((-np.array(speeds)[::-1], speeds))

    def curve(at: Setting) -> DampingCurve:
        return damping_curve(
            unit, at, oil_temperature, speed,
            position=position, ambient_pressure=ambient_pressure, stiffening=stiffening,
        )  # fmt: skip

    before = curve(setting)
    turns = [
        (adjuster, step)
        for adjuster, most in damper_of(unit).click_ranges().items()
        for step in (1, -1)
        if 0 <= before.clicks[adjuster] + step <= most
    ]
    effects = []
    for done, (adjuster, step) in enumerate(turns, 1):
        if tell is not None:
            tell(done / (len(turns) + 1))
        clicks = before.clicks[adjuster]
        after = curve(setting.changed(**{**before.clicks, adjuster: clicks + step}))
        effects.append(ClickEffect(adjuster, clicks, step, speed, after.force - before.force))
    return tuple(effects)


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
