"""The search over whole steps: spread first, then ever smaller neighbourhoods; each setting is ridden once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.ride.pool import RidePool
from forkwright.tune.adjusters import Adjuster
from forkwright.tune.aims import Judged, judge

Steps = NDArray[np.int64]
Progress = Callable[[float, str], None]


class SettingSearch:
    """Judges settings given as step numbers (one column per adjuster), and remembers every one.

    Parameters
    ----------
    pool : RidePool
    adjusters : sequence of Adjuster
        In the order of the pool's task.
    full_travel : float
        m.
    """

    def __init__(self, pool: RidePool, adjusters: Sequence[Adjuster], full_travel: float) -> None:
        self._pool = pool
        self._adjusters = tuple(adjusters)
        self._full_travel = full_travel
        self._place: dict[tuple[int, ...], int] = {}
        self.steps: Steps = np.empty((0, len(self._adjusters)), np.int64)
        self.judged: Judged | None = None

    @property
    def sizes(self) -> Steps:
        """Number of values of each adjuster."""
        return np.array([adjuster.values.size for adjuster in self._adjusters])

    @property
    def rides(self) -> int:
        """Rides simulated so far."""
        return len(self.steps) * len(self._pool.task.courses)

    def look(self, wanted: Steps, progress: Callable[[int], None] | None = None) -> NDArray[np.int64]:
        """Judge settings that are not yet known; return the row of every wanted one in `judged`."""
        clipped = np.clip(wanted, 0, self.sizes - 1)
        new = list(dict.fromkeys(key for row in clipped if (key := tuple(map(int, row))) not in self._place))
        if new:
            steps = np.array(new, np.int64)
            values = self.values(steps)
            rows = self._pool.score(values, progress)
            found = judge(values, rows, len(self._pool.task.courses), self._full_travel)
            for offset, key in enumerate(new):
                self._place[key] = len(self.steps) + offset
            self.steps = np.concatenate((self.steps, steps))
            self.judged = found if self.judged is None else self.judged.joined(found)
        return np.array([self._place[tuple(map(int, row))] for row in clipped], np.int64)

    def values(self, steps: Steps) -> Array:
        """Return the SI values of settings given as step numbers."""
        columns = [adjuster.values[steps[:, i]] for i, adjuster in enumerate(self._adjusters)]
        return np.stack(columns, axis=1)

    def nearest_step(self, name: str, value: float) -> int:
        """Return the step of an adjuster nearest to an SI value."""
        adjuster = next(a for a in self._adjusters if a.name == name)
        return int(np.argmin(np.abs(adjuster.values - value)))


def spread(sizes: Steps, count: int, seed: int) -> Steps:
    """Return well spread settings as step numbers: a Latin hypercube put on whole steps."""
    from scipy.stats import qmc

    sample = qmc.LatinHypercube(len(sizes), rng=seed).random(count)
    return np.minimum((sample * sizes).astype(np.int64), sizes - 1)


def around(centres: Steps, sizes: Steps, share: float) -> Steps:
    """Return every centre moved along each adjuster alone, both ways, by a share of its range (at least 1)."""
    jumps = np.maximum(1, np.round(share * sizes).astype(np.int64))
    moved = [centres]
    for column, jump in enumerate(jumps):
        if sizes[column] < 2:
            continue
        for direction in (-1, 1):
            other = centres.copy()
            other[:, column] = np.clip(other[:, column] + direction * jump, 0, sizes[column] - 1)
            moved.append(other)
    return np.concatenate(moved)


def blends(parents: Steps, sizes: Steps, count: int, seed: int) -> Steps:
    """Return settings that take each adjuster from one of two good ones, so that good parts meet."""
    generator = np.random.default_rng(seed)
    pairs = generator.integers(0, len(parents), (count, 2))
    choose = generator.random((count, len(sizes))) < 0.5
    return np.where(choose, parents[pairs[:, 0]], parents[pairs[:, 1]])
