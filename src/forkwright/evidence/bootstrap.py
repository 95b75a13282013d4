"""Block bootstrap: intervals for statistics of a log whose neighbouring samples are alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array
from forkwright.units import InputError

Summed = Callable[[Array], Array]

DRAWS = 2000


@dataclass(frozen=True)
class Interval:
    """A statistic with its interval, in the statistic's unit.

    Parameters
    ----------
    value, low, high : float
        As found, and the ends of the interval.
    std : float
        Standard error.
    blocks : int
        Blocks drawn from; few blocks make a doubtful interval.
    """

    value: float
    low: float
    high: float
    std: float
    blocks: int


def block_sums(values: Array, pieces: tuple[tuple[int, int], ...], length: int) -> Array:
    """Return the sums over blocks of consecutive samples, none across a gap.

    Parameters
    ----------
    values : ndarray, shape (n,) or (n, k)
        Samples; columns are summed side by side.
    pieces : tuple of (start, stop)
        Index ranges without a gap.
    length : int
        Samples in a block; a rest of at least half a block counts as one, a shorter rest joins the last.

    Returns
    -------
    ndarray, shape (blocks, k + 1)
        The sums, and the number of samples in the last column.
    """
    columns = values[:, np.newaxis] if values.ndim == 1 else values
    starts: list[int] = []
    ends: list[int] = []
    for start, stop in pieces:
        cuts = list(range(start, stop, length))
        if len(cuts) > 1 and stop - cuts[-1] < length / 2:
            cuts.pop()
        starts += cuts
        ends += [*cuts[1:], stop]
    sums = np.stack([columns[a:b].sum(axis=0) for a, b in zip(starts, ends, strict=True)])
    count = np.array(ends, dtype=np.float64) - np.array(starts)
    return np.column_stack([sums, count])


def resampled(blocks: Array, draws: int, rng: np.random.Generator) -> Array:
    """Return totals of as many blocks as there are, drawn with replacement, shape (draws, k + 1)."""
    n = len(blocks)
    totals = np.empty((draws, blocks.shape[1]))
    for at in range(0, draws, 200):
        counts = rng.multinomial(n, np.full(n, 1.0 / n), size=min(200, draws - at))
        totals[at : at + len(counts)] = counts @ blocks
    return totals


def difference_of(
    first: Array,
    second: Array,
    statistic: Summed,
    *,
    level: float = 0.95,
    draws: int = DRAWS,
    seed: int = 0,
) -> Interval:
    """Return the second run's statistic less the first's, with its bootstrap interval.

    Parameters
    ----------
    first, second : ndarray, shape (blocks, k + 1)
        From `block_sums`, of one run each.
    statistic : callable
        Takes totals, shape (draws, k + 1), and returns the statistic of each, shape (draws,).
    level : float
        Coverage of the interval, 0 to 1.
    draws, seed : int
        Number of draws and their seed; the same seed gives the same interval.

    Raises
    ------
    InputError
        If a run has fewer than four blocks.

    Notes
    -----
    Source: Künsch, *Annals of Statistics* 17, 1989; Efron & Tibshirani, *An Introduction to the Bootstrap*,
    1993 (both from memory). Percentiles, widened by ``sqrt(n/(n - 1))`` about the value for few blocks; held
    against the closed form for a mean.
    """
    rng = np.random.default_rng(seed)
    drawn = statistic(resampled(_enough(second), draws, rng)) - statistic(
        resampled(_enough(first), draws, rng)
    )
    value = float(
        (statistic(second.sum(axis=0, keepdims=True)) - statistic(first.sum(axis=0, keepdims=True)))[0]
    )
    return _interval(value, drawn, min(len(first), len(second)), level)


def _enough(blocks: Array) -> Array:
    if len(blocks) < 4:
        raise InputError(
            "the run is too short for an interval: it holds fewer than four independent stretches",
            value=f"{len(blocks)} blocks",
        )
    return blocks


def _interval(value: float, drawn: Array, blocks: int, level: float) -> Interval:
    widen = float(np.sqrt(blocks / (blocks - 1)))
    low, high = np.quantile(drawn, [0.5 - level / 2, 0.5 + level / 2])
    return Interval(
        value, value + widen * (float(low) - value), value + widen * (float(high) - value),
        widen * float(drawn.std(ddof=1)), blocks,
    )  # fmt: skip


def correlation_length(values: Array, pieces: tuple[tuple[int, int], ...]) -> int:
    """Return after how many samples the log has forgotten itself: where its correlation falls below 0.05.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Evenly sampled within each piece.
    pieces : tuple of (start, stop)
        Index ranges without a gap; the longest is used, at most its first 200 000 samples.

    Notes
    -----
    Source: autocorrelation by the Fourier transform (Wiener-Khinchin), any text on time series.
    """
    start, stop = max(pieces, key=lambda p: p[1] - p[0])
    part = values[start : min(stop, start + 200_000)]
    part = part - part.mean()
    if not np.any(part):
        return 1
    size = 1 << (2 * part.size - 1).bit_length()
    power = np.abs(np.fft.rfft(part, size)) ** 2
    correlation = np.fft.irfft(power, size)[: part.size]
    small = np.flatnonzero(correlation < 0.05 * correlation[0])
    return int(small[0]) if small.size else part.size
