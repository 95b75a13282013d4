"""The time axis of a recording: clock text, order, duplicates, gaps, and whether the sampling is even."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from forkwright.evidence.mapping import ColumnUse
from forkwright.physics.values import Array
from forkwright.units import InputError

GAP = 3.0  # a step longer than this many usual steps is a gap
JITTER = 0.05  # steps that vary less than this share count as even
_BLOCK = 65_536
_LONGEST = 3e9  # s
_FINEST = 1e-9  # s


@dataclass(frozen=True)
class Clock:
    """A time axis put in order.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Seconds from the first sample, strictly rising.
    keep : ndarray of int or None
        Which rows of the table belong to these times, in order; None when all do, as they stand.
    notes : tuple of str
        What had to be put right.
    """

    time: Array
    keep: NDArray[np.intp] | None
    notes: tuple[str, ...]


def read_clock(column: Array | pl.Series, use: ColumnUse, file: str) -> Clock:
    """Read the time column, in seconds from the first sample.

    Parameters
    ----------
    column : ndarray or polars.Series
        Numbers in the unit of `use`, or text such as "2031-05-01 10:00:00.125" or "10:00:00.125".
    use : ColumnUse
        What the column means.
    file : str
        Named in messages.

    Raises
    ------
    InputError
        If the column holds no usable time.
    """
    if isinstance(column, np.ndarray):
        factor, _ = use.factor_and_offset()
        time = column * abs(factor) if abs(factor) != 1.0 else column
    else:
        time = _from_text(column, file)
    return put_in_order(time, file)


def _from_text(series: pl.Series, file: str) -> Array:
    text = series.str.strip_chars().str.replace(",", ".", literal=True)
    for parsed in (_stamps(text), _times_of_day(text)):
        if parsed is not None:
            return parsed
    raise InputError(
        "the time column is neither numbers nor clock times",
        file=file,
        key="time",
        value=str(series[0]),
        allowed="seconds, '2031-05-01 10:00:00.125' or '10:00:00.125'",
    )


def _stamps(text: pl.Series) -> Array | None:
    try:
        stamps = text.str.to_datetime(time_unit="us", strict=False)
    except pl.exceptions.PolarsError:
        return None
    if int(stamps.is_not_null().sum()) * 2 < len(text):
        return None
    return stamps.cast(pl.Int64).cast(pl.Float64).to_numpy() * 1e-6


def _times_of_day(text: pl.Series) -> Array | None:
    parts = text.str.extract_groups(r"^(\d+):(\d{1,2}):(\d{1,2}(?:\.\d+)?)$").struct.unnest()
    numbers = parts.select(pl.all().cast(pl.Float64, strict=False)).to_numpy()
    seconds = np.asarray(numbers @ np.array([3600.0, 60.0, 1.0]))
    if 2 * np.isfinite(seconds).sum() < seconds.size:
        return None
    steps = np.diff(seconds, prepend=seconds[:1])
    return np.asarray(seconds + 86_400.0 * np.cumsum(steps < -43_200.0), dtype=np.float64)


def put_in_order(time: Array, file: str) -> Clock:
    """Sort samples by time, keep the first of several at the same time, and count from the first.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Seconds, in the order of the file; NaN where missing.
    file : str
        Named in messages.
    """
    if time.size < 2:
        raise InputError("fewer than two rows have a time", file=file, key="time")
    if _rises(time):
        started = time - time[0] if time[0] else time
        if started is time or _rises(started):
            return Clock(_plausible(started, file), None, ())
    keep, notes = _sorted_out(time, file)
    return Clock(_plausible(time[keep] - time[keep[0]], file), keep, notes)


def _sorted_out(time: Array, file: str) -> tuple[NDArray[np.intp], tuple[str, ...]]:
    """Return the rows whose times rise, in order, and what had to be put right for that."""
    notes: list[str] = []
    keep = np.flatnonzero(np.isfinite(time))
    if keep.size < time.size:
        notes.append(_left_out(time.size - keep.size, "row", "had no time"))
    if keep.size < 2:
        raise InputError("fewer than two rows have a time", file=file, key="time")
    time = time - time[keep].min()
    backwards = int(np.count_nonzero(np.diff(time[keep]) < 0))
    if backwards:
        notes.append(
            f"time runs backwards in {backwards} place{'s' if backwards > 1 else ''}: samples were sorted"
        )
        keep = keep[np.argsort(time[keep], kind="stable")]
    fresh = np.concatenate([[True], np.diff(time[keep]) > 0])
    if not fresh.all():
        notes.append(_left_out(int((~fresh).sum()), "sample", "repeated a time"))
        keep = keep[fresh]
    if keep.size < 2:
        raise InputError("all rows have the same time", file=file, key="time")
    return keep, tuple(notes)


def _plausible(time: Array, file: str) -> Array:
    """Refuse a time axis that no logger writes: longer than a life, or finer than a nanosecond."""
    span, step = float(time[-1]), float(time[-1]) / max(time.size - 1, 1)
    if not (span <= _LONGEST and step >= _FINEST):
        raise InputError(
            "the times cannot be right: is this the time column, and is its unit right?",
            file=file,
            key="time",
            value=f"{span:.3g} s in {time.size} samples",
            allowed=f"up to {_LONGEST:.0e} s, steps from {_FINEST:.0e} s",
        )
    return time


def _left_out(count: int, noun: str, why: str) -> str:
    return f"{count} {noun}{'s' if count > 1 else ''} {why} and {'were' if count > 1 else 'was'} left out"


def _rises(time: Array) -> bool:
    """Return True if every time is finite and later than the one before, looking at one block at a time."""
    return all(
        bool(np.all(np.diff(time[i : i + _BLOCK + 1]) > 0)) for i in range(0, max(time.size - 1, 1), _BLOCK)
    ) and bool(np.isfinite(time[0]) and np.isfinite(time[-1]))


def find_pieces(time: Array) -> tuple[float, bool, tuple[tuple[int, int], ...], tuple[str, ...]]:
    """Find the usual step, the gaps and whether the sampling within the pieces is even.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Seconds, strictly rising.

    Returns
    -------
    step : float
        Median step, in s.
    regular : bool
        True when no step within a piece differs from the usual one by more than 5 %.
    pieces : tuple of (start, stop)
        Index ranges without a gap.
    notes : tuple of str
        The gaps in words.
    """
    sample = time[:200_001] if time.size > 200_001 else time
    step = max(float(np.median(np.diff(sample))), _FINEST)
    cuts: list[int] = []
    uneven = 0
    for i in range(0, time.size - 1, _BLOCK):
        steps = np.diff(time[i : i + _BLOCK + 1])
        long = steps > GAP * step
        if long.any():
            cuts += (np.flatnonzero(long) + i + 1).tolist()
        if steps.max() > (1 + JITTER) * step or steps.min() < (1 - JITTER) * step:
            uneven += int(np.count_nonzero((np.abs(steps - step) > JITTER * step) & ~long))
    edges = [0, *cuts, time.size]
    pieces = tuple((a, b) for a, b in itertools.pairwise(edges) if b - a >= 2)
    return step, uneven == 0, pieces, _gap_words(time, cuts, uneven, step)


def _gap_words(time: Array, cuts: list[int], uneven: int, step: float) -> tuple[str, ...]:
    notes = []
    if cuts:
        lost = sum(float(time[i] - time[i - 1]) for i in cuts)
        first = float(time[cuts[0] - 1])
        notes.append(
            f"{len(cuts)} gap{'s' if len(cuts) > 1 else ''} in time, {lost:.3g} s together, "
            f"the first at {first:.3f} s: nothing is made up across them"
        )
    if uneven:
        notes.append(
            f"sampling is uneven: {uneven} steps differ from the usual {step:.4g} s by more than 5 %"
        )
    return tuple(notes)
