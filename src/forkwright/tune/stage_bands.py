"""How sure a race plan's gain is: its settings ridden with the parts off by their tolerances."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from forkwright.bench.bands import HIGH, LOW
from forkwright.ride.pool import RidePool
from forkwright.tune.aims import cost
from forkwright.tune.drawn_rides import ridden_by_draws
from forkwright.tune.judged import Judged
from forkwright.tune.race_plan import GainBand
from forkwright.tune.search import SettingSearch
from forkwright.tune.stage_search import StageGoal

DRAWS = 12
"""Units, riders and bikes drawn; each rides every stage in every case."""


def gain_band(
    pool: RidePool,
    search: SettingSearch,
    goal: StageGoal,
    rows: Sequence[int],
    single: int,
    draws: int,
    seed: int,
    progress: Callable[[float], None],
) -> tuple[GainBand, int]:
    """Return the band of the gain, and how many settings were ridden over all stages and cases.

    Parameters
    ----------
    pool : RidePool
    search : SettingSearch
    goal : StageGoal
    rows : sequence of int
        The stages' settings.
    single : int
        The one setting for all.
    draws, seed : int
    progress : callable
        Told the share done; may raise to stop.

    Notes
    -----
    Source: Monte-Carlo propagation, JCGM 101:2008, clause 7. Costs are measured on the trade-offs of the
    parts as they were measured. A draw that cannot be ridden is left out of the gain, not of what holds.
    """
    known = list(dict.fromkeys([*rows, single]))
    judged = ridden_by_draws(pool, search.values(search.steps[known]), draws, seed, progress)
    places = [known.index(row) for row in rows]
    gains = np.array([_gain(search, goal, one, places, known.index(single)) for one in judged])
    holds = [
        np.mean([goal.goal.fits(one.on(goal.places(stage)))[place] for one in judged])
        for stage, place in enumerate(places)
    ]
    single_allowed = bool(goal.goal.fits(search.judged)[single])
    sound = gains[np.isfinite(gains)] if single_allowed else np.empty(0)
    low, middle, high = np.quantile(sound, (LOW, 0.5, HIGH)).tolist() if sound.size else (None, None, None)
    return GainBand(draws, low, middle, high, np.array(holds)), draws * len(known)


def _gain(search: SettingSearch, goal: StageGoal, judged: Judged, places: list[int], single: int) -> float:
    """Sum over the stages of the single setting's cost less that of the stage's own, limits left aside."""
    total = 0.0
    for stage, place in enumerate(places):
        courses = goal.places(stage)
        scale = goal.goal.scale(search.judged.on(courses))
        aims = judged.on(courses).aims[[single, place]]
        if scale is None or not np.isfinite(aims).all():
            return float("nan")
        costs = cost(aims, goal.goal.weights, *scale)
        total += float(costs[0] - costs[1])
    return total
