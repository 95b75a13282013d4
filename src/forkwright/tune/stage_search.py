"""Improves a build shared by all stages together with the settings of each stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array
from forkwright.tune.aims import Judged
from forkwright.tune.goal import Goal
from forkwright.tune.search import Progress, SettingSearch, Steps, around, paired

SHARES = (0.2, 0.1, 0.0)
"""Neighbourhoods of the stages' settings, as shares of each adjuster's range; at the end single steps."""

MOST_TURNS = 40


@dataclass(frozen=True)
class StageGoal:
    """A goal over several stages; courses are ordered by stage, the cases of a stage side by side."""

    goal: Goal
    stages: int
    cases: int

    def places(self, stage: int) -> range:
        """Return the courses of a stage."""
        return range(stage * self.cases, (stage + 1) * self.cases)

    def by_stage(self, judged: Judged) -> Array:
        """Return the cost of every setting on every stage, shape (n, stages)."""
        columns = [self.goal.costs(judged.on(self.places(stage))) for stage in range(self.stages)]
        return np.stack(columns, axis=1)

    def costs(self, judged: Judged) -> Array:
        """Return the sum over the stages for one setting on all of them, shape (n,)."""
        return np.asarray(self.by_stage(judged).sum(axis=1), np.float64)


def refine(
    search: SettingSearch, goal: StageGoal, free: Sequence[int], progress: Progress
) -> tuple[list[int], bool]:
    """Return the rows of the stages' settings, all of one build, and whether no step improves them.

    Parameters
    ----------
    search : SettingSearch
        That has looked around already.
    goal : StageGoal
    free : sequence of int
        Columns that may differ between stages; the others are the build.
    progress : callable
        As in `find_best`.
    """
    shared = [column for column in range(len(search.adjusters)) if column not in free]
    level = 0
    rows = _best_build(search, goal, shared)
    for turn in range(MOST_TURNS):
        begin, end = turn / (turn + 4.0), (turn + 1.0) / (turn + 5.0)
        wanted = _wanted(search, rows, free, shared, SHARES[level])
        search.look(wanted, lambda share: progress(begin + (end - begin) * share, "stage by stage"))  # noqa: B023
        found = _best_build(search, goal, shared)
        if found == rows:
            if level == len(SHARES) - 1:
                return rows, True
            level += 1
        rows = found
    return rows, False


def _best_build(search: SettingSearch, goal: StageGoal, shared: Sequence[int]) -> list[int]:
    """Return the stages' best rows under the build whose stages' best add up to least."""
    costs = goal.by_stage(search.judged)
    member = np.zeros(len(costs), np.int64)
    if shared:
        member = np.unique(search.steps[:, shared], axis=0, return_inverse=True)[1].ravel()
    least = np.full((int(member.max()) + 1, goal.stages), np.inf)
    for stage in range(goal.stages):
        np.minimum.at(least[:, stage], member, costs[:, stage])
    inside = np.flatnonzero(member == int(np.argmin(least.sum(axis=1))))
    return [int(inside[np.argmin(costs[inside, stage])]) for stage in range(goal.stages)]


def _wanted(
    search: SettingSearch, rows: Sequence[int], free: Sequence[int], shared: Sequence[int], share: float
) -> Steps:
    """Neighbours of every stage's setting, and every stage's setting under the neighbouring builds."""
    home: Steps = search.steps[list(dict.fromkeys(rows))]
    near = around(home, np.where(np.isin(np.arange(home.shape[1]), free), search.sizes, 1), share)
    builds = around(home, np.where(np.isin(np.arange(home.shape[1]), shared), search.sizes, 1), share)
    return np.concatenate((near, builds, paired(home, [c for c in shared if search.sizes[c] > 1])))
