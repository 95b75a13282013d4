"""What one step of an adjuster changes, from rides of that very step."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from forkwright.hardware import Setting
from forkwright.tune.adjusters import Adjuster, value_in
from forkwright.tune.goal import Goal
from forkwright.tune.recommendation import StepChange
from forkwright.tune.search import SettingSearch
from forkwright.tune.step_moves import Steps, nearest_step


def as_steps(adjusters: Sequence[Adjuster], setting: Setting) -> Steps:
    """Return a setting on the nearest steps, shape (1, adjusters); what is not set stands in its middle."""
    steps = []
    for adjuster in adjusters:
        unset = getattr(setting, adjuster.name) is None
        middle = adjuster.values.size // 2
        steps.append(middle if unset else nearest_step(adjuster, value_in(setting, adjuster.name)))
    return np.array([steps], np.int64)


def steps_from(
    search: SettingSearch,
    goal: Goal,
    best: int,
    names: Sequence[str] | None = None,
    courses: Sequence[int] | None = None,
) -> tuple[StepChange, ...]:
    """Return what one step of every adjuster, either way, changes from a judged setting.

    Parameters
    ----------
    search : SettingSearch
    goal : Goal
    best : int
        Row of the setting.
    names : sequence of str, optional
        Adjusters to step; by default all.
    courses : sequence of int, optional
        Courses it is judged on; by default all.
    """
    moves = []
    for column, adjuster in enumerate(search.adjusters):
        for direction in (-1, 1):
            inside = 0 <= search.steps[best, column] + direction < adjuster.values.size
            if inside and (names is None or adjuster.name in names):
                other = search.steps[best].copy()
                other[column] += direction
                moves.append((column, direction, other))
    if not moves:
        return ()
    rows = search.look(np.array([other for *_, other in moves], np.int64))
    judged = search.judged if courses is None else search.judged.on(courses)
    aims, costs, fits = judged.aims, goal.costs(judged), goal.fits(judged)
    return tuple(
        StepChange(
            adjuster=search.adjusters[column].name,
            step=direction,
            value=float(search.adjusters[column].values[other[column]]),
            change=aims[row] - aims[best],
            cost=float(costs[row] - costs[best]),
            allowed=bool(fits[row]),
        )
        for (column, direction, other), row in zip(moves, rows, strict=True)
    )


def trail_order(adjusters: Sequence[Adjuster], steps: Sequence[StepChange]) -> tuple[str, ...]:
    """Return the adjusters, that with the larger effect of one allowed step on the cost first."""
    effect = {
        adjuster.name: max(
            (abs(s.cost) for s in steps if s.adjuster == adjuster.name and s.allowed), default=0.0
        )
        for adjuster in adjusters
    }
    return tuple(sorted(effect, key=lambda name: -effect[name]))
