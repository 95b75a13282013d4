"""The search over whole steps: spread first, then ever smaller neighbourhoods, then single steps.

Each setting is ridden once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.ride.pool import RidePool
from forkwright.tune.adjusters import Adjuster, rideable_by
from forkwright.tune.judged import Judged, judge, refused
from forkwright.tune.step_moves import Steps, around, blends, spread, two_at_once

Progress = Callable[[float, str], None]
Ranking = Callable[[Judged], Array]
"""Gives one cost per judged setting, lower is better."""

Rideable = Callable[[Array], NDArray[np.bool_]]


WALK = (0.25, 0.08, 0.0)
"""Steps of a walk, as shares of each adjuster's range; never less than one step."""


@dataclass(frozen=True)
class SearchPlan:
    """How much is looked at.

    Parameters
    ----------
    spread : int
        Settings spread over everything that can be set, looked at first.
    rounds : tuple of float
        Neighbourhoods of the best, as shares of each adjuster's range.
    centres : int
        Best settings whose neighbourhoods are looked at.
    turns : int
        Most turns of a walk.
    """

    spread: int = 160
    rounds: tuple[float, ...] = (0.12, 0.05, 0.02)
    centres: int = 8
    turns: int = 40


class SettingSearch:
    """Judges settings given as step numbers (one column per adjuster), and remembers every one.

    Parameters
    ----------
    pool : RidePool
    adjusters : sequence of Adjuster
        In the order of the pool's task.
    full_travel : float
        m.
    rideable : callable, optional
        Tells which settings (SI, shape (n, adjusters)) a rider could ride at all; the others are not ridden
        and count as refused. By default every one.
    """

    def __init__(
        self,
        pool: RidePool,
        adjusters: Sequence[Adjuster],
        full_travel: float,
        rideable: Rideable | None = None,
    ) -> None:
        self._pool, self._rideable = pool, rideable
        self.adjusters = tuple(adjusters)
        self._full_travel = full_travel
        self._place: dict[tuple[int, ...], int] = {}
        self.steps: Steps = np.empty((0, len(self.adjusters)), np.int64)
        self._judged: Judged | None = None
        self.ridden = 0
        """Settings that were ridden."""

    @classmethod
    def over(cls, pool: RidePool, adjusters: Sequence[Adjuster]) -> SettingSearch:
        """Return the search over what a pool rides; what its rider could not ride is left out."""
        task = pool.task
        rideable = rideable_by(task.unit, task.rider, task.bike, task.conditions, adjusters)
        return cls(pool, adjusters, float(task.unit.travel.si), rideable)

    @property
    def judged(self) -> Judged:
        """Everything judged so far, in the order of `steps`."""
        if self._judged is None:
            raise ValueError("nothing has been looked at yet")
        return self._judged

    @property
    def sizes(self) -> Steps:
        """Number of values of each adjuster."""
        return np.array([adjuster.values.size for adjuster in self.adjusters], np.int64)

    @property
    def rides(self) -> int:
        """Rides simulated so far."""
        return self.ridden * len(self._pool.task.courses)

    def look(self, wanted: Steps, progress: Callable[[float], None] | None = None) -> Steps:
        """Judge settings that are not yet known; return the row of every wanted one in `judged`.

        Steps beyond an adjuster's ends are put on its ends. `progress` is told the share done.
        """
        inside = np.clip(wanted, 0, self.sizes - 1)
        new = list(dict.fromkeys(key for row in inside if (key := tuple(map(int, row))) not in self._place))
        if new:
            steps = np.array(new, np.int64)
            found = self._ride(self.values(steps), progress)
            for offset, key in enumerate(new):
                self._place[key] = len(self.steps) + offset
            self.steps = np.concatenate((self.steps, steps))
            self._judged = found if self._judged is None else self._judged.joined(found)
        return np.array([self._place[tuple(map(int, row))] for row in inside], np.int64)

    def _ride(self, values: Array, progress: Callable[[float], None] | None) -> Judged:
        courses, shares = len(self._pool.task.courses), self._pool.task.course_shares
        can = np.ones(len(values), np.bool_) if self._rideable is None else self._rideable(values)
        chosen = np.flatnonzero(can)
        self.ridden += chosen.size
        if chosen.size == 0:
            return refused(values, courses, shares)
        tell = None if progress is None else (lambda done: progress(done / chosen.size))
        rows = self._pool.score(values[chosen], tell)
        found = judge(values[chosen], rows, courses, self._full_travel, shares)
        return found if can.all() else refused(values, courses, shares).with_rows(chosen, found)

    def values(self, steps: Steps) -> Array:
        """Return the SI values of settings given as step numbers."""
        columns = [adjuster.values[steps[:, i]] for i, adjuster in enumerate(self.adjusters)]
        return np.stack(columns, axis=1)


def find_best(
    search: SettingSearch,
    ranking: Ranking,
    ends: Sequence[Ranking],
    start: Steps,
    plan: SearchPlan,
    seed: int,
    progress: Progress,
) -> tuple[int, bool]:
    """Return the row of the best setting found, and whether no single step or pair of them is better.

    Parameters
    ----------
    search : SettingSearch
    ranking : callable
    ends : sequence of callable
        Rankings whose best settings span the first one; they are settled before it.
    start : Steps
        Settings to look at in any case, shape (k, adjusters).
    plan : SearchPlan
    seed : int
        Of the first spread and of the blends.
    progress : callable
        Told the share done (0 to 1) and what is being done; may raise to stop.
    """
    sizes, told = search.sizes, [0.0]

    def look(wanted: Steps, share: float, words: str) -> None:
        begin = told[0]
        told[0] = begin + share * (1.0 - begin)
        search.look(wanted, lambda done: progress(begin + share * (1.0 - begin) * done, words))

    progress(0.0, "starting")
    look(np.vstack((start, spread(sizes, plan.spread, seed))), 0.35, "looking around")
    for number, share in enumerate(plan.rounds):
        good = _good(search, ranking, plan.centres)
        near = around(good[: plan.centres // (number + 1) + 1], sizes, share)
        look(np.vstack((near, blends(good, sizes, 2 * plan.centres, seed + number))), 0.25, "closing in")
    for end in ends:
        settle(search, end, plan.turns, lambda wanted: look(wanted, 0.05, "ends of the trade-off"))
    best, settled = settle(
        search, ranking, plan.turns, lambda wanted: look(wanted, 0.2, "single steps"), in_pairs=True
    )
    progress(1.0, "done")
    return best, settled


def settle(
    search: SettingSearch,
    ranking: Ranking,
    turns: int,
    look: Callable[[Steps], None],
    *,
    in_pairs: bool = False,
) -> tuple[int, bool]:
    """Walk from the best known by ever smaller steps; return where it ends, and whether no step is better.

    The last steps are single ones; `in_pairs` then also tries single steps of any two adjusters at once.
    """
    every = range(len(search.adjusters))
    best, level, last = _best(search, ranking), 0, len(WALK) - 1 + in_pairs
    for _ in range(turns):
        home = search.steps[best][np.newaxis]
        look(around(home, search.sizes, WALK[level]) if level < len(WALK) else two_at_once(home, every))
        further = _best(search, ranking)
        if further == best and level == last:
            return best, True
        level = level + 1 if further == best else min(level, len(WALK) - 1)
        best = further
    return best, False


def _best(search: SettingSearch, ranking: Ranking) -> int:
    return int(np.argmin(ranking(search.judged)))


def _good(search: SettingSearch, ranking: Ranking, centres: int) -> Steps:
    """The best settings so far, best first, and among them those best in one aim, as step numbers."""
    costs = ranking(search.judged)
    order = np.argsort(costs, kind="stable")
    half = order[: max(centres, len(order) // 2)]
    ends = half[np.argmin(search.judged.aims[half], axis=0)]
    return np.asarray(search.steps[list(dict.fromkeys([*order[:centres], *ends]))], np.int64)
