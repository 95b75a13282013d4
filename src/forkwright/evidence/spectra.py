"""Spectra of ride logs: averaged over windows, none of which reaches across a gap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class Spectrum:
    """One-sided power spectral density.

    Parameters
    ----------
    frequency : ndarray, shape (m,)
        Hz.
    density : ndarray, shape (m,)
        Square of the channel's unit per Hz; its integral is the variance within windows.
    windows : int
        Half-overlapping windows averaged.
    low, high : ndarray, shape (m,)
        95 % interval of the density if the windows were independent normal noise.
    warnings : tuple of str
        What to mind.
    """

    frequency: Array
    density: Array
    windows: int
    low: Array
    high: Array
    warnings: tuple[str, ...]


def spectrum(
    values: Array, rate: float, pieces: tuple[tuple[int, int], ...] | None = None, window: float = 4.0
) -> Spectrum:
    """Return the power spectral density by Welch's method, window by window within the pieces.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Evenly sampled within each piece.
    rate : float
        Hz.
    pieces : tuple of (start, stop), optional
        Index ranges without a gap; one piece by default.
    window : float
        s; length of a window, shortened to the longest piece where that is shorter.

    Raises
    ------
    InputError
        If no piece holds eight samples.

    Notes
    -----
    Source: Welch, *IEEE Trans. Audio Electroacoust.* 15, 1967 (from memory): Hann window, half overlap, mean
    of each window removed; held against `scipy.signal.welch`. The interval is chi-square with the degrees of
    freedom of half-overlapping Hann windows, ``36 K^2/(19 K - 1)`` (Percival & Walden, 1993, from memory).
    """
    pieces = pieces or ((0, values.size),)
    longest = max(stop - start for start, stop in pieces)
    length = min(round(window * rate), longest)
    if length < 8:
        raise InputError("too few samples for a spectrum", value=str(longest), allowed="8 or more")
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(length) / length)
    total, count = np.zeros(length // 2 + 1), 0
    step = length - length // 2
    for start, stop in pieces:
        for at in range(start, stop - length + 1, step):
            part = values[at : at + length]
            total += np.abs(np.fft.rfft((part - part.mean()) * hann)) ** 2
            count += 1
    density = np.asarray(total / count / (rate * float(hann @ hann)), dtype=np.float64)
    density[1 : None if length % 2 else -1] *= 2.0
    low, high = _interval(count)
    words = ("fewer than eight windows: the spectrum is rough",) if count < 8 else ()
    return Spectrum(
        np.asarray(np.fft.rfftfreq(length, 1.0 / rate), dtype=np.float64),
        density,
        count,
        density * low,
        density * high,
        words,
    )


def _interval(windows: int) -> tuple[float, float]:
    from scipy import stats

    freedom = 36.0 * windows**2 / (19.0 * windows - 1.0)
    return (
        float(freedom / stats.chi2.ppf(0.975, freedom)),
        float(freedom / stats.chi2.ppf(0.025, freedom)),
    )
