"""Ride-log signals: evenly spaced samples, filtered travel and speed, piece by piece between gaps."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from forkwright.evidence.recording import Recording
from forkwright.physics.values import Array
from forkwright.units import InputError

TRAVEL_CUTOFF = 60.0
"""Hz. Wheel hop of a bicycle lies near 25 to 35 Hz; twice that is kept (common practice, no source)."""
ORDER = 2


@dataclass(frozen=True)
class Motion:
    """Filtered travel and its speed.

    Parameters
    ----------
    time : ndarray, shape (n,)
        s from the first sample.
    travel : ndarray, shape (n,)
        m, compression from full extension.
    speed : ndarray, shape (n,)
        m/s, compression positive.
    rate : float
        Hz.
    cutoff : float
        Hz; the filter halves the power twice over (forward and back) there.
    pieces : tuple of (start, stop)
        Index ranges without a gap.
    warnings : tuple of str
        What to mind.
    """

    time: Array
    travel: Array
    speed: Array
    rate: float
    cutoff: float
    pieces: tuple[tuple[int, int], ...]
    warnings: tuple[str, ...]


def evenly_sampled(recording: Recording, rate: float | None = None) -> Recording:
    """Return the recording on an even time grid within each piece, by straight lines between samples.

    Parameters
    ----------
    recording : Recording
        As imported.
    rate : float, optional
        Hz; the recording's usual rate by default.

    Returns
    -------
    Recording
        The same one if its sampling is even already and no other rate is asked for.
    """
    if recording.regular and rate is None:
        return recording
    wanted = rate or recording.rate
    if not 0.01 <= wanted <= 1e6:
        raise InputError("out of range", key="rate", value=f"{wanted:g} Hz", allowed="0.01 to 1000000 Hz")
    grids = []
    for start, stop in recording.pieces:
        first, last = recording.time[start], recording.time[stop - 1]
        grids.append(first + np.arange(int((last - first) * wanted * (1 + 1e-12)) + 1) / wanted)
    grids = [g for g in grids if g.size >= 2]
    if not grids:
        raise InputError("the pieces between gaps are shorter than two samples", file=recording.source)
    time = np.concatenate(grids)
    ends = np.cumsum([0, *(g.size for g in grids)]).tolist()
    nearest = np.clip(np.searchsorted(recording.time, time), 0, recording.time.size - 1)
    note = f"sampled anew at {wanted:g} Hz by straight lines"
    return replace(
        recording,
        time=time,
        channels={name: np.interp(time, recording.time, v) for name, v in recording.channels.items()},
        labels={name: v[nearest] for name, v in recording.labels.items()},
        rate=wanted,
        regular=True,
        pieces=tuple(itertools.pairwise(ends)),
        warnings=(*recording.warnings, note),
    )


def motion_of(recording: Recording, channel: str = "travel", cutoff: float | None = None) -> Motion:
    """Filter a travel channel and take its speed.

    A second-order Butterworth low-pass runs forward and back (no delay), in every piece by itself; the speed
    is the central difference of what is left.

    Parameters
    ----------
    recording : Recording
        With the channel in m.
    channel : str
        Name of the travel channel.
    cutoff : float, optional
        Hz; 60 Hz by default, or two fifths of the sampling rate if that is less.

    Returns
    -------
    Motion

    Raises
    ------
    InputError
        If the channel is missing, is no length, or the cutoff does not fit the sampling rate.

    Notes
    -----
    Source: Butterworth filter and its zero-phase use, SciPy's `butter` and `sosfiltfilt`.
    """
    recording.needs_time()
    if recording.dimensions.get(channel, "length") != "length":
        raise InputError("the channel is no travel", key=channel, value=recording.dimensions[channel])
    even = evenly_sampled(recording)
    raw = even[channel]
    chosen = cutoff if cutoff is not None else min(TRAVEL_CUTOFF, 0.4 * even.rate)
    if not 0 < chosen < 0.5 * even.rate:
        raise InputError(
            "the cutoff must lie below half the sampling rate",
            key="cutoff",
            value=f"{chosen:g} Hz",
            allowed=f"0 to {0.5 * even.rate:g} Hz",
        )
    travel, speed = np.empty_like(raw), np.empty_like(raw)
    for start, stop in even.pieces:
        travel[start:stop] = _smoothed(raw[start:stop], even.rate, chosen)
        speed[start:stop] = np.gradient(travel[start:stop], 1.0 / even.rate)
    words = list(even.warnings)
    if even.rate < 100:
        words.append(f"sampled at {even.rate:.0f} Hz: sharp hits are lost; 200 Hz or more shows them")
    return Motion(even.time, travel, speed, even.rate, chosen, even.pieces, tuple(words))


def _smoothed(values: Array, rate: float, cutoff: float) -> Array:
    from scipy import signal

    sections = signal.butter(ORDER, cutoff, fs=rate, output="sos")
    padding = min(3 * (2 * len(sections) + 1), values.size - 1)
    return np.asarray(signal.sosfiltfilt(sections, values, padlen=padding), dtype=np.float64)


def level_of_detail(time: Array, values: Array, columns: int = 2000) -> tuple[Array, Array]:
    """Thin a long channel for drawing so that no peak is lost: the lowest and highest sample of every column.

    Parameters
    ----------
    time, values : ndarray, shape (n,)
        In any unit.
    columns : int
        Columns of the drawing; up to two samples are kept for each.

    Returns
    -------
    time, values : ndarray
        In order; the same arrays when they are short already.
    """
    index = thinned_index(values, columns)
    if index.size == time.size:
        return time, values
    return time[index], values[index]


def thinned_index(values: Array, columns: int) -> NDArray[np.intp]:
    """Return which samples to draw: the lowest and the highest of every column, and both ends, in order."""
    if columns < 1:
        raise InputError("a drawing needs a column", key="columns", value=str(columns))
    if values.size <= 2 * columns:
        return np.arange(values.size)
    edges = np.linspace(0, values.size, columns + 1).astype(np.intp)
    width = int(np.diff(edges).max())
    index = np.minimum(edges[:-1, np.newaxis] + np.arange(width), edges[1:, np.newaxis] - 1)
    block = values[index]
    rows = np.arange(columns)
    chosen = np.concatenate([index[rows, block.argmin(axis=1)], index[rows, block.argmax(axis=1)]])
    return np.unique(np.concatenate([[0], chosen, [values.size - 1]]))
