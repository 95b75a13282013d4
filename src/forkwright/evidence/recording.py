"""A recording: channels in SI on one time axis, and how a mapped table becomes one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.units import InputError

Pieces = tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Recording:
    """Channels measured together.

    Parameters
    ----------
    source : str
        Name of the file.
    time : ndarray, shape (n,)
        Seconds from the first sample, strictly rising.
    channels : dict of str to ndarray, shape (n,)
        SI values, finite; travel is compression from full extension, in m.
    dimensions : dict of str to str
        Kind of quantity of each channel.
    rate : float
        Usual sampling rate, in Hz.
    regular : bool
        True when the samples within each piece are evenly spaced.
    pieces : tuple of (start, stop)
        Index ranges without a gap in time.
    labels : dict of str to ndarray of str
        Text columns, for example "section".
    absolute : frozenset of str
        Pressure channels that are absolute; the others are gauge.
    warnings : tuple of str
        Every fault found, and what was done about it.
    timed : bool
        False for a bench trace without a time column: `time` then counts the readings.
    """

    source: str
    time: Array
    channels: dict[str, Array]
    dimensions: dict[str, str]
    rate: float
    regular: bool
    pieces: Pieces
    labels: dict[str, NDArray[np.str_]]
    absolute: frozenset[str]
    warnings: tuple[str, ...]
    timed: bool = True

    def __getitem__(self, name: str) -> Array:
        """Return the channel called `name`, in SI, or say which there are."""
        if name not in self.channels:
            raise InputError(
                f"the recording has no channel '{name}'",
                file=self.source,
                allowed=", ".join(self.channels) or "none was recognised",
            )
        return self.channels[name]

    def needs_time(self) -> None:
        """Refuse a recording without times, where they matter."""
        if not self.timed:
            raise InputError("there is no time column: name it, or give the sampling rate", file=self.source)

    @property
    def duration(self) -> float:
        """Recorded time without the gaps, in s."""
        return float(sum(self.time[stop - 1] - self.time[start] for start, stop in self.pieces))
