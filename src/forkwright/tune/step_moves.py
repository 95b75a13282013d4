"""Settings as step numbers, and the ways from some to others: spread, neighbours, pairs, blends."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from forkwright.tune.adjusters import Adjuster

Steps = NDArray[np.int64]
"""One setting a row, one adjuster a column."""


def nearest_step(adjuster: Adjuster, value: float) -> int:
    """Return the step of an adjuster nearest to an SI value."""
    return int(np.argmin(np.abs(adjuster.values - value)))


def spread(sizes: Steps, count: int, seed: int) -> Steps:
    """Return well spread settings as step numbers: a Latin hypercube put on whole steps.

    Notes
    -----
    Source: McKay, Beckman and Conover, Technometrics 21 (1979), as made by `scipy.stats.qmc`.
    """
    from scipy.stats import qmc

    sample = qmc.LatinHypercube(len(sizes), rng=seed).random(count)
    return np.minimum((sample * sizes).astype(np.int64), sizes - 1)


def around(centres: Steps, sizes: Steps, share: float) -> Steps:
    """Return every centre moved along each adjuster alone, both ways, by a share of its range.

    The move is at least one step; a centre at an end stays there.
    """
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


def two_at_once(centres: Steps, columns: Sequence[int]) -> Steps:
    """Return every centre moved by one step along two of some adjusters at once, in every sense.

    Steps may lie beyond an adjuster's ends; `SettingSearch.look` puts them on the ends.
    """
    moved = [np.empty((0, centres.shape[1]), np.int64)]
    for place, first in enumerate(columns):
        for second in columns[place + 1 :]:
            for up, along in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
                other = centres.copy()
                other[:, first] += up
                other[:, second] += along
                moved.append(other)
    return np.concatenate(moved)


def blends(parents: Steps, sizes: Steps, count: int, seed: int) -> Steps:
    """Return settings that take each adjuster from one of two good ones, so that good parts meet."""
    generator = np.random.default_rng(seed)
    pairs = generator.integers(0, len(parents), (count, 2))
    choose = generator.random((count, len(sizes))) < 0.5
    return np.where(choose, parents[pairs[:, 0]], parents[pairs[:, 1]])
