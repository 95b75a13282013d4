"""A simulated and a measured ride on one time axis: shifted to agree best, and how far apart they stay."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.evidence.ride_log import RideLog
from forkwright.evidence.ride_use import UsedRange, used_range
from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class Overlay:
    """Measured and simulated travel where both exist.

    Parameters
    ----------
    time : ndarray, shape (n,)
        s of the measured log.
    measured, simulated : ndarray, shape (n,)
        m.
    shift : float
        s by which the simulation was moved later, against the log's first sample.
    correlation : float
        Between the two after the shift (plain number).
    rms : float
        m, root mean square of their difference.
    measured_use, simulated_use : UsedRange
        Histograms over the same stretch.
    warnings : tuple of str
        What to mind.
    """

    time: Array
    measured: Array
    simulated: Array
    shift: float
    correlation: float
    rms: float
    measured_use: UsedRange
    simulated_use: UsedRange
    warnings: tuple[str, ...]


def overlay(log: RideLog, time: Array, travel: Array, *, most_shift: float = 5.0) -> Overlay:
    """Lay a simulated ride over a measured one.

    Parameters
    ----------
    log : RideLog
        As measured; its longest piece without a gap is used.
    time, travel : ndarray, shape (m,)
        s from the start of the simulation, evenly spaced; m.
    most_shift : float
        s; the largest shift tried, either way.

    Returns
    -------
    Overlay

    Raises
    ------
    InputError
        If less than a second of the two overlaps.

    Notes
    -----
    Source: shift of the largest cross-correlation, any text on signals.
    """
    start, stop = max(log.motion.pieces, key=lambda p: p[1] - p[0])
    rate, measured = log.motion.rate, log.motion.travel[start:stop]
    own_time = log.motion.time[start:stop]
    grid = np.arange(int((time[-1] - time[0]) * rate) + 1) / rate
    simulated = np.interp(grid, time - time[0], travel)
    begun = round(float(own_time[0]) * rate)  # the piece may begin late in the log
    lag = _best_lag(measured, simulated, begun, round(most_shift * rate))
    first, last = max(0, lag), min(measured.size, simulated.size + lag)
    if last - first < rate:
        raise InputError("less than a second of the two rides overlaps", file=log.source)
    a, b = measured[first:last], simulated[first - lag : last - lag]
    agreement = _correlation(a, b)
    speeds = [np.gradient(x, 1.0 / rate) for x in (a, b)]
    return Overlay(
        own_time[first:last], a, b, (lag + begun) / rate, agreement, float(np.sqrt(np.mean((a - b) ** 2))),
        used_range(a, speeds[0], log.full_travel, rate), used_range(b, speeds[1], log.full_travel, rate),
        _warnings(agreement, lag + begun, round(most_shift * rate)),
    )  # fmt: skip


def _best_lag(measured: Array, simulated: Array, begun: int, most: int) -> int:
    """Samples by which the simulation must begin after the piece so that the two agree best."""
    from scipy import signal

    a, b = measured - measured.mean(), simulated - simulated.mean()
    score = signal.correlate(a, b, mode="full", method="fft")
    lags = signal.correlation_lags(a.size, b.size, mode="full")
    allowed = np.abs(lags + begun) <= most
    if not allowed.any():
        return most - begun
    return int(lags[allowed][np.argmax(score[allowed])])


def _correlation(a: Array, b: Array) -> float:
    a, b = a - a.mean(), b - b.mean()
    size = float(np.sqrt((a @ a) * (b @ b)))
    return float(a @ b) / size if size > 0 else 0.0


def _warnings(agreement: float, lag: int, most: int) -> tuple[str, ...]:
    words = []
    if agreement < 0.5:
        words.append(
            "the two rides hardly follow each other: compare their histograms, not their moments "
            "(a course from a roughness class has the same character, not the same bumps)"
        )
    if abs(lag) >= most:
        words.append("the best shift lies at the end of what was tried: give a longer one")
    return tuple(words)
