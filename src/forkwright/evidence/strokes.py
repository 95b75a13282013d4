"""A pull cut into its strokes: which way the unit moves, where it turns, what every stroke covers."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.units import InputError

_LEAST_SPAN = 0.005  # m; a shorter pull shows no spring


def directions(travel: Array, share: float = 0.02) -> NDArray[np.int8]:
    """Return +1 where the unit is being compressed, -1 where it extends, 0 around each turn.

    A turn counts once the travel has come back by `share` of the whole span; samples from the turn until the
    travel has come back that far are 0, because there the friction is still turning over.

    Parameters
    ----------
    travel : ndarray, shape (n,)
        m.
    share : float
        Share of the span (plain number).
    """
    span = float(np.ptp(travel)) if travel.size else 0.0
    if span < _LEAST_SPAN:
        raise InputError("the trace hardly moves", value=f"{span * 1000:.2f} mm", allowed="5 mm or more")
    turns = _turning_points(travel, share * span)
    result = np.zeros(travel.size, dtype=np.int8)
    for a, b in itertools.pairwise(turns):
        sign = 1 if travel[b] > travel[a] else -1
        moved = sign * (travel[a : b + 1] - travel[a])
        left = sign * (travel[b] - travel[a : b + 1])
        result[a : b + 1][(moved > share * span) & (left > 0.2 * share * span)] = sign
    return result


def _turning_points(travel: Array, back: float) -> list[int]:
    """Indices where the travel turns and comes back by more than `back`, with both ends."""
    turns = [0]
    high = low = 0
    sign = 0
    for i, x in enumerate(travel.tolist()):
        if x > travel[high]:
            high = i
        if x < travel[low]:
            low = i
        if sign >= 0 and travel[high] - x > back:
            turns += [high] if sign > 0 or high > 0 else []
            sign, low = -1, i
            high = i
        elif sign <= 0 and x - travel[low] > back:
            turns += [low] if sign < 0 or low > 0 else []
            sign, high = 1, i
            low = i
    last = high if sign > 0 else low if sign < 0 else travel.size - 1
    turns.append(last)
    return sorted(set(turns))


def strokes_of(direction: NDArray[np.int8]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(direction.astype(np.int64)))
    bounds = [0, *(edges + 1).tolist(), direction.size]
    return [(a, b) for a, b in itertools.pairwise(bounds) if direction[a] and b - a >= 5]


def shared_range(
    travel: Array, up: list[tuple[int, int]], down: list[tuple[int, int]]
) -> tuple[float, float]:
    """Return the range of travel that every stroke covers (short strokes are dropped from the lists)."""
    spans = {s: float(np.ptp(travel[s[0] : s[1]])) for s in (*up, *down)}
    longest = max(spans.values())
    for group in (up, down):
        group[:] = [s for s in group if spans[s] > 0.5 * longest]
    if not up or not down:
        raise InputError("only one direction covers enough travel: pull both ways over the same range")
    low = max(float(travel[a:b].min()) for a, b in (*up, *down))
    high = min(float(travel[a:b].max()) for a, b in (*up, *down))
    if high - low < _LEAST_SPAN:
        raise InputError("the strokes share less than 5 mm of travel")
    return low, high
