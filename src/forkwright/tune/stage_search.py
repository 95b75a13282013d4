"""Improves a build shared by all stages together with the settings of each stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from forkwright.physics.values import Array
from forkwright.tune.goal import Goal
from forkwright.tune.judged import Judged
from forkwright.tune.search import Progress, Ranking, SettingSearch
from forkwright.tune.step_moves import Steps, around, two_at_once

SHARES = (0.2, 0.1, 0.0)
"""Neighbourhoods of the stages' settings, as shares of each adjuster's range; at the end single steps."""

BUILDS = 3
"""Builds whose clicks are improved stage by stage: the best and its runners-up."""

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

    def ends(self) -> tuple[Ranking, ...]:
        """Return the rankings by one aim on one stage, which span the costs of each stage."""
        return tuple(
            partial(self._in_one_aim, aim, stage) for aim in range(4) for stage in range(self.stages)
        )

    def _in_one_aim(self, aim: int, stage: int, judged: Judged) -> Array:
        return self.goal.in_one_aim(aim, judged.on(self.places(stage)))


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
    builds = _best_builds(search, goal, shared)
    for turn in range(MOST_TURNS):
        begin, end = turn / (turn + 4.0), (turn + 1.0) / (turn + 5.0)
        wanted = _wanted(search, builds, free, shared, SHARES[level])
        known = len(search.steps)
        search.look(wanted, lambda share: progress(begin + (end - begin) * share, "stage by stage"))  # noqa: B023
        found = _best_builds(search, goal, shared)
        if found[0] == builds[0]:
            if level < len(SHARES) - 1:
                level += 1
            elif len(search.steps) == known:
                return found[0], True
        builds = found
    return builds[0], False


def _best_builds(search: SettingSearch, goal: StageGoal, shared: Sequence[int]) -> list[list[int]]:
    """Return the stages' best rows under each of the builds whose stages' best add up to least."""
    costs = goal.by_stage(search.judged)
    member = np.zeros(len(costs), np.int64)
    if shared:
        member = np.unique(search.steps[:, shared], axis=0, return_inverse=True)[1].ravel()
    least = np.full((int(member.max()) + 1, goal.stages), np.inf)
    for stage in range(goal.stages):
        np.minimum.at(least[:, stage], member, costs[:, stage])
    builds = []
    for build in np.argsort(least.sum(axis=1), kind="stable")[:BUILDS]:
        inside = np.flatnonzero(member == build)
        builds.append([int(inside[np.argmin(costs[inside, stage])]) for stage in range(goal.stages)])
    return builds


def _wanted(
    search: SettingSearch,
    builds: Sequence[Sequence[int]],
    free: Sequence[int],
    shared: Sequence[int],
    share: float,
) -> Steps:
    """Neighbours of every stage's setting under the best builds, and its settings under neighbouring builds.

    The runners-up are only looked at once the steps are single ones.
    """
    columns = np.arange(len(search.adjusters))
    best: Steps = search.steps[list(dict.fromkeys(builds[0]))]
    rows = [row for build in (builds if share == 0.0 else builds[:1]) for row in build]
    near = around(
        search.steps[list(dict.fromkeys(rows))], np.where(np.isin(columns, free), search.sizes, 1), share
    )
    beside = around(best, np.where(np.isin(columns, shared), search.sizes, 1), share)
    return np.concatenate((near, beside, two_at_once(best, shared)))
