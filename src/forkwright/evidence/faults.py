"""Faults of single channels: missing samples and sensors that sat at the end of their range."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array

BRIDGE = 0.05  # s; holes up to this long are bridged by straight lines


def bridge_missing(
    time: Array, channels: dict[str, Array]
) -> tuple[NDArray[np.intp] | None, tuple[str, ...]]:
    """Fill short holes in the channels in place by straight lines; say which rows must go.

    A hole is short when it lasts no longer than 50 ms, or than one and a half usual steps of that channel
    (a slow sensor beside a fast one leaves most rows blank).

    Parameters
    ----------
    time : ndarray, shape (n,)
        Seconds, strictly rising.
    channels : dict of str to ndarray, shape (n,)
        Values, NaN where missing; changed in place.

    Returns
    -------
    rows : ndarray of int, or None
        Rows that are complete in every channel; None when all are.
    notes : tuple of str
        What was filled and what was left out.
    """
    notes: list[str] = []
    complete = np.ones(0, dtype=np.bool_)
    for name, values in channels.items():
        missing = _missing(values)
        if missing is None:
            continue
        if complete.size == 0:
            complete = np.ones(time.size, dtype=np.bool_)
        filled, left = _bridge(time, values, missing)
        if filled:
            notes.append(f"{name}: {filled} missing values were bridged by straight lines")
        if left.any():
            notes.append(
                f"{name}: {int(left.sum())} values are missing for too long to bridge; "
                "their rows are left out"
            )
            complete &= ~left
    if complete.size and not complete.all():
        return np.flatnonzero(complete), tuple(notes)
    return None, tuple(notes)


def _missing(values: Array) -> NDArray[np.bool_] | None:
    if np.isfinite(values.sum()):  # one pass, no memory: a sum is finite only if every value is
        return None
    missing = ~np.isfinite(values)
    return missing if missing.any() else None


def _bridge(time: Array, values: Array, missing: NDArray[np.bool_]) -> tuple[int, NDArray[np.bool_]]:
    present = np.flatnonzero(~missing)
    if present.size < 2:
        return 0, missing
    at = np.flatnonzero(missing)
    after = np.searchsorted(present, at)
    inside = (after > 0) & (after < present.size)
    at, after = at[inside], after[inside]
    hole = time[present[after]] - time[present[after - 1]]
    usual = float(np.median(np.diff(time[present])))
    short = at[hole <= max(BRIDGE, 1.5 * usual)]
    values[short] = np.interp(time[short], time[present], values[present])
    left = missing.copy()
    left[short] = False
    return int(short.size), left


def clipping_words(name: str, values: Array, step: float, least: int = 5) -> tuple[str, ...]:
    """Say where a channel sat at exactly its highest or lowest value, as a clipped sensor does.

    Parameters
    ----------
    name : str
        Channel name, for the words.
    values : ndarray, shape (n,)
        SI values.
    step : float
        Usual time between samples, in s.
    least : int
        A run of fewer equal samples is not named.

    Returns
    -------
    tuple of str
        Nothing for a constant channel or where no run is long enough.
    """
    high, low = values.max(), values.min()
    if high == low:
        return (
            (f"{name}: every value is the same ({high:.6g} in SI): is the sensor connected?",)
            if values.size > 9
            else ()
        )
    words = []
    for word, end in (("highest", high), ("lowest", low)):
        at_end = values == end
        if np.count_nonzero(at_end) < least:
            continue
        edges = np.flatnonzero(np.diff(np.concatenate([[False], at_end, [False]]).astype(np.int8)))
        runs = edges[1::2] - edges[::2]
        runs = runs[runs >= least]
        if runs.size:
            words.append(
                f"{name}: sat at exactly its {word} value for {runs.sum() * step:.3g} s in {runs.size} "
                f"run{'s' if runs.size > 1 else ''}: a stop, or a sensor at the end of its range; "
                "what lies beyond is not known"
            )
    return tuple(words)
