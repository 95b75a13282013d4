"""Where the names on a drawing stand: beside their part, in order, never on top of each other."""

from __future__ import annotations

import itertools
from collections.abc import Sequence


def spread(anchors: Sequence[float], heights: Sequence[float]) -> list[float]:
    """Return label centres nearest to their anchors (least squares) such that no two labels overlap.

    Parameters
    ----------
    anchors : sequence of float
        Wanted centre of each label, ascending.
    heights : sequence of float
        Room each label takes, in the same unit.

    Returns
    -------
    list of float
        Centres, ascending; two neighbours are at least half the sum of their heights apart.

    Notes
    -----
    With the room above each label taken off its anchor, the order constraint becomes "non-decreasing", and
    the nearest non-decreasing sequence is found by pooling neighbours that are out of order.

    Source
    ------
    Barlow, Bartholomew, Bremner and Brunk (1972), *Statistical Inference under Order Restrictions*: the
    pool-adjacent-violators algorithm (from memory).

    Examples
    --------
    >>> spread([10.0, 11.0], [4.0, 4.0])
    [8.5, 12.5]
    """
    taken = [0.0]
    for above, below in itertools.pairwise(heights):
        taken.append(taken[-1] + (above + below) / 2)
    pools: list[tuple[float, int]] = []  # mean of the pool, labels in it
    for anchor, room in zip(anchors, taken, strict=True):
        mean, count = anchor - room, 1
        while pools and pools[-1][0] > mean:
            other, size = pools.pop()
            mean, count = (mean * count + other * size) / (count + size), count + size
        pools.append((mean, count))
    level = [mean for mean, count in pools for _ in range(count)]
    return [mean + room for mean, room in zip(level, taken, strict=True)]
