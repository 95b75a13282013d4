"""Settings ridden with parts off by their tolerances: bands of the aims, and whether the best stays best."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.bands import HIGH, LOW
from forkwright.hardware import drawn
from forkwright.physics.values import Array
from forkwright.ride.pool import RidePool
from forkwright.tune.adjuster_band import AdjusterBand, band_from
from forkwright.tune.goal import Goal
from forkwright.tune.judged import Judged, judge
from forkwright.tune.naming import PRESSURES
from forkwright.tune.paired_draws import one_by_one
from forkwright.tune.search import SettingSearch
from forkwright.tune.step_moves import Steps

DRAWS = 20
"""Units, riders and bikes drawn from their tolerances; each rides every setting that is compared."""


@dataclass(frozen=True)
class RideBands:
    """What the tolerances leave open of a recommendation; bands are 5 % to 95 % of the draws.

    Parameters
    ----------
    draws : int
    low, high : array
        Of the aims, shape (4,), as `aims.AIMS`; infinite where a draw could not be ridden.
    holds : float
        Share of the draws in which the setting is allowed.
    better : float or None
        Share of the draws in which it is better than the setting in the file; None where they are one.
    adjusters : tuple of AdjusterBand
        Where each adjuster alone would be best, the others kept.
    settings_ridden : int
        Settings times draws that were ridden over all courses.
    """

    draws: int
    low: Array
    high: Array
    holds: float
    better: float | None
    adjusters: tuple[AdjusterBand, ...]
    settings_ridden: int


def ride_bands(
    pool: RidePool,
    search: SettingSearch,
    goal: Goal,
    best: int,
    now: int,
    draws: int,
    seed: int,
    progress: Callable[[float], None],
) -> RideBands:
    """Return the bands of a recommendation.

    Parameters
    ----------
    pool : RidePool
    search : SettingSearch
    goal : Goal
    best, now : int
        Rows of the recommended setting and of that in the file.
    draws, seed : int
    progress : callable
        Told the share done; may raise to stop.

    Notes
    -----
    Source: Monte-Carlo propagation, JCGM 101:2008, clause 7. Fork or shock, rider and bike are drawn. The
    cost is measured on the trade-off of the parts as they were measured. Each adjuster is moved alone, by one
    step and by a few: how far a setting moves when several are set anew is not looked at.
    """
    moves = _moves(search, best)
    rows = np.concatenate((search.steps[[best, now]], *(steps for _, steps in moves)))
    judged = ridden_by_draws(pool, search.values(rows), draws, seed, progress)
    scale = goal.scale(search.judged)
    if scale is None:
        raise ValueError("nothing has been ridden yet")
    costs = np.array([goal.costs_on(one, scale) for one in judged])
    aims = np.array([one.aims[0] for one in judged])
    bands, place = [], 2
    for column, steps in moves:
        own = costs[:, [0, *range(place, place + len(steps))]]
        place += len(steps)
        adjuster = search.adjusters[column]
        numbers = np.array([search.steps[best, column], *steps[:, column]])
        chosen = adjuster.values[numbers[own.argmin(axis=1)]]
        reach = adjuster.values[[numbers.min(), numbers.max()]]
        ends = (
            float(reach[0]) if numbers.min() > 0 else -np.inf,
            float(reach[1]) if numbers.max() < adjuster.values.size - 1 else np.inf,
        )
        value = float(adjuster.values[search.steps[best, column]])
        bands.append(band_from(adjuster.name, chosen, value, 0.0, ends))
    same = bool((search.steps[best] == search.steps[now]).all())
    return RideBands(
        draws=draws,
        low=_quantile(aims, LOW),
        high=_quantile(aims, HIGH),
        holds=float(np.mean([goal.fits(one)[0] for one in judged])),
        better=None if same else float(np.mean(costs[:, 0] < costs[:, 1])),
        adjusters=tuple(bands),
        settings_ridden=draws * len(rows),
    )


def ridden_by_draws(
    pool: RidePool, values: Array, draws: int, seed: int, progress: Callable[[float], None]
) -> list[Judged]:
    """Return settings judged with each draw of unit, rider and bike, over all courses of the pool's task."""
    task = pool.task
    units = list(one_by_one(drawn(task.unit, draws, seed), draws))
    riders = one_by_one(drawn(task.rider, draws, seed + 1), draws)
    bikes = one_by_one(drawn(task.bike, draws, seed + 2), draws)
    others = [(unit, rider, bike, values) for unit, rider, bike in zip(units, riders, bikes, strict=True)]
    ridden = pool.score_others(others, lambda number: progress(number / draws))
    return [
        judge(values, [rows], len(task.courses), float(unit.travel.si), task.course_shares)
        for unit, rows in zip(units, ridden, strict=True)
    ]


def _moves(search: SettingSearch, best: int) -> list[tuple[int, Steps]]:
    """For every adjuster, the settings that differ in it alone."""
    moves = []
    for column, adjuster in enumerate(search.adjusters):
        here = search.steps[best]
        there = [
            here[column] + jump
            for jump in _jumps(adjuster.name)
            if 0 <= here[column] + jump < adjuster.values.size
        ]
        steps: NDArray[np.int64] = np.repeat(here[np.newaxis], len(there), axis=0)
        steps[:, column] = there
        moves.append((column, steps))
    return moves


def _jumps(name: str) -> Sequence[int]:
    if name in PRESSURES:
        return (-8, -4, -1, 1, 4, 8)
    return (-2, -1, 1, 2)


def _quantile(aims: Array, share: float) -> Array:
    """Quantile of every aim, the nearest draw; one that could not be ridden counts as the worst."""
    return np.asarray(np.quantile(aims, share, axis=0, method="nearest"), np.float64)
