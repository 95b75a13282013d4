"""Paired differences: exact sign and sign-change tests, and how large the difference is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

_EXACT_UNITS = 20  # 2**20 sign patterns; beyond this they are drawn
_DRAWS = 100_000
_LARGE_T = 60.0


@dataclass(frozen=True)
class DifferenceTest:
    """What paired differences say. `unit of the measure` below is points or seconds."""

    units: int
    """How many differences were tested (riders or blocks), dimensionless."""
    mean: float
    """Mean difference, unit of the measure."""
    mean_low: float
    mean_high: float
    """Interval of the mean by Student's t, unit of the measure; NaN-free: equal to the mean for one unit."""
    spread: float
    """Standard deviation of the differences, unit of the measure."""
    effect: float
    """Mean over standard deviation, dimensionless; 0 where the spread is 0."""
    effect_low: float
    effect_high: float
    """Interval of the effect by the noncentral t distribution, dimensionless."""
    p_value: float
    """Of the sign-change (permutation) test on the mean, two-sided, dimensionless."""
    method: str
    sign_p_value: float
    """Of the exact sign test, two-sided, dimensionless."""


def difference_test(differences: Sequence[float], confidence: float = 0.95, seed: int = 1) -> DifferenceTest:
    """Test paired differences against "no difference" without assuming a distribution.

    Parameters
    ----------
    differences : sequence of float, length n >= 1
        One difference for each rider or block, points or seconds.
    confidence : float
        Confidence of the intervals, dimensionless.
    seed : int
        Seed for drawing sign patterns where there are more than 20 differences, dimensionless.

    Raises
    ------
    ValueError
        If there is no difference at all.

    Source
    ------
    Fisher, R. A. (1935), The Design of Experiments, section 21: the randomisation test of paired
    differences. Sign test: Dixon, W. J. and Mood, A. M. (1946), JASA 41, 557-566 (both from memory; tested
    against SciPy).

    Examples
    --------
    >>> difference_test([1.0, 2.0, 1.5, 0.5, 1.0]).p_value
    0.0625
    """
    values = np.asarray(differences, dtype=np.float64)
    if values.size < 1:
        raise ValueError("no differences to test")
    mean = float(values.mean())
    spread = float(values.std(ddof=1)) if values.size > 1 else 0.0
    low, high = _mean_interval(mean, spread, values.size, confidence)
    p_value, method = sign_change_p(values, seed)
    effect = mean / spread if spread > 0 else 0.0
    effect_low, effect_high = effect_interval(effect, values.size, confidence) if spread > 0 else (0.0, 0.0)
    return DifferenceTest(
        units=int(values.size),
        mean=mean,
        mean_low=low,
        mean_high=high,
        spread=spread,
        effect=effect,
        effect_low=effect_low,
        effect_high=effect_high,
        p_value=p_value,
        method=method,
        sign_p_value=sign_p(int((values > 0).sum()), int((values < 0).sum())),
    )


def sign_change_p(values: NDArray[np.float64], seed: int = 1) -> tuple[float, str]:
    """Return the two-sided p value of the mean when every sign could as well be the other, and the method.

    Parameters
    ----------
    values : array, shape (n,)
        Paired differences, points or seconds.
    seed : int
        As in `difference_test`, dimensionless.
    """
    observed = abs(float(values.sum()))
    slack = 1e-9 * float(np.abs(values).sum())
    if values.size <= _EXACT_UNITS:
        sums = np.zeros(1)
        for value in np.abs(values):
            sums = np.concatenate([sums + value, sums - value])
        hits = int(np.count_nonzero(np.abs(sums) >= observed - slack))
        return hits / sums.size, "exact, all sign changes"
    signs = np.random.default_rng(seed).choice((-1.0, 1.0), size=(_DRAWS, values.size))
    hits = int(np.count_nonzero(np.abs(signs @ values) >= observed - slack))
    return (hits + 1) / (_DRAWS + 1), f"{_DRAWS} random sign changes, seed {seed}"


def sign_p(ahead: int, behind: int) -> float:
    """Return the exact two-sided p value of the sign test, ties left out; dimensionless.

    Parameters
    ----------
    ahead, behind : int
        Differences above and below zero, dimensionless.

    Source
    ------
    Binomial with an even chance (see `difference_test`).
    """
    from scipy.stats import binomtest

    if ahead + behind == 0:
        return 1.0
    return float(binomtest(ahead, ahead + behind, 0.5).pvalue)


def effect_interval(effect: float, units: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the interval of mean over standard deviation, dimensionless.

    Parameters
    ----------
    effect : float
        The effect seen, dimensionless.
    units : int
        How many differences, dimensionless, 2 or more.
    confidence : float
        Dimensionless.

    Source
    ------
    The noncentral t distribution turned round: the effects for which the t seen stands just in either tail
    (Cumming, G. and Finch, S. (2001), Educational and Psychological Measurement 61, 532-574; from memory).
    """
    if effect < 0:
        low, high = effect_interval(-effect, units, confidence)
        return -high, -low
    seen, tail = effect * sqrt(units), (1 - confidence) / 2
    ends = [_shift_at(seen, units - 1, share) for share in (tail, 1 - tail)]
    return ends[0] / sqrt(units), ends[1] / sqrt(units)


def _shift_at(seen: float, freedom: int, share: float) -> float:
    """Return the noncentrality at which t is above the value seen with probability `share`.

    It is the `share` quantile of seen * S - Z, with S^2 chi-square over its freedom and Z normal. Where the t
    seen is so large that Z no longer matters (and SciPy's distribution loses its footing), Z is left out.
    """
    from scipy.optimize import brentq
    from scipy.stats import chi2, nct

    scaled = seen * sqrt(float(chi2.ppf(share, freedom)) / freedom)
    if seen > _LARGE_T:
        return scaled
    low = seen * sqrt(float(chi2.ppf(share / 10, freedom)) / freedom) - 8
    high = seen * sqrt(float(chi2.isf((1 - share) / 10, freedom)) / freedom) + 8
    return float(brentq(lambda shift: float(nct.sf(seen, freedom, shift)) - share, low, high))


def _mean_interval(mean: float, spread: float, units: int, confidence: float) -> tuple[float, float]:
    from scipy.stats import t

    if units < 2:
        return mean, mean
    half = float(t.ppf((1 + confidence) / 2, units - 1)) * spread / sqrt(units)
    return mean - half, mean + half
