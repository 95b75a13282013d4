"""A stretch of a long log for the screen: lowest and highest sample of every column, gaps left open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.evidence.signals import thinned_index
from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class Window:
    """What is drawn of one channel between two times.

    Parameters
    ----------
    time : ndarray, shape (m,)
        s, rising.
    values : ndarray, shape (m,)
        The channel's unit; NaN between two pieces, so that no line is drawn across a gap.
    samples : int
        Samples of the log that lie in the stretch.
    whole : bool
        True when every one of them is shown.
    """

    time: Array
    values: Array
    samples: int
    whole: bool


def window_of(
    time: Array,
    values: Array,
    pieces: tuple[tuple[int, int], ...],
    start: float,
    stop: float,
    columns: int = 1000,
) -> Window:
    """Return what is drawn of a channel from `start` to `stop`: no peak is lost, no gap is bridged.

    Parameters
    ----------
    time : ndarray, shape (n,)
        s, strictly rising.
    values : ndarray, shape (n,)
        In any unit.
    pieces : tuple of (start, stop)
        Index ranges without a gap.
    start, stop : float
        s; one sample beyond each end is kept, so that the line runs out of the drawing.
    columns : int
        Columns of the drawing; lowest and highest sample of each are kept.

    Raises
    ------
    InputError
        If the stretch is empty, or lies outside the log.

    Examples
    --------
    >>> import numpy as np
    >>> seen = window_of(np.arange(6.0), np.array([0.0, 5, 1, 2, 9, 3]), ((0, 3), (3, 6)), 0.0, 9.0)
    >>> seen.values
    array([ 0.,  5.,  1., nan,  2.,  9.,  3.])
    """
    if not start < stop:
        raise InputError("the stretch is empty", key="from", value=f"{start:g} s to {stop:g} s")
    first = max(int(np.searchsorted(time, start)) - 1, 0)
    last = min(int(np.searchsorted(time, stop, side="right")) + 1, time.size)
    if last - first < 2 or start > time[-1] or stop < time[0]:
        raise InputError(
            "the stretch lies outside the log",
            key="from",
            value=f"{start:g} s to {stop:g} s",
            allowed=f"{time[0]:g} s to {time[-1]:g} s",
        )
    index = first + thinned_index(values[first:last], columns)
    begins = np.array([piece[0] for piece in pieces], dtype=np.intp)
    piece = np.searchsorted(begins, index, side="right")
    gaps = np.flatnonzero(np.diff(piece)) + 1
    shown_time = np.insert(time[index], gaps, 0.5 * (time[index[gaps - 1]] + time[index[gaps]]))
    return Window(
        np.asarray(shown_time, dtype=np.float64),
        np.asarray(np.insert(values[index], gaps, np.nan), dtype=np.float64),
        last - first,
        index.size == last - first,
    )
