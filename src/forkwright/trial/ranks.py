"""Rankings: Friedman's test of any difference and Page's test of an expected order, exact where it can be."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import permutations
from math import factorial

import numpy as np
from numpy.typing import NDArray

Ranks = NDArray[np.float64]

_EXACT_WORK = 300_000_000  # additions; beyond this the null distribution is simulated
_DRAWS = 100_000


@dataclass(frozen=True)
class RankTest:
    """What rankings say; all fields are dimensionless."""

    statistic: float
    p_value: float
    method: str
    """How the p value was found: "exact", "simulated, ..." or "normal approximation"."""
    rank_sums: tuple[float, ...]
    mean_ranks: tuple[float, ...]
    agreement: float
    """Kendall's W, from 0 (no agreement between rankings) to 1 (all the same)."""


def friedman(ranks: Ranks, seed: int = 1) -> RankTest:
    """Test whether any option stands out in a set of rankings.

    Parameters
    ----------
    ranks : array, shape (rankings, options)
        The ranks within each ranking, 1 for the best, ties sharing their mean rank, dimensionless.
    seed : int
        Seed of the simulation used where the exact count would be too long, dimensionless.

    Returns
    -------
    RankTest
        The statistic corrected for ties; the p value from all the rearrangements within rankings.

    Raises
    ------
    ValueError
        If there are fewer than two options, or no ranking.

    Source
    ------
    Friedman, M. (1937), Journal of the American Statistical Association 32, 675-701; agreement: Kendall's
    W = statistic / (rankings (options - 1)). Tested against SciPy.

    Examples
    --------
    >>> round(friedman(np.array([[1.0, 2, 3]] * 3)).p_value, 4)  # 6 of 6**3 arrangements
    0.0278
    """
    ranks = _checked(ranks)
    rankings, options = ranks.shape
    sums = ranks.sum(axis=0)
    statistic = float(friedman_statistics(ranks[None])[0])
    if _work(ranks) <= _EXACT_WORK:
        p_value, method = _exact_p(ranks), "exact"
    else:
        null = _simulated_spread(ranks, seed)
        observed = float(((sums - sums.mean()) ** 2).sum())
        hits = int(np.count_nonzero(null >= observed - 1e-9))
        p_value, method = (hits + 1) / (len(null) + 1), f"simulated, {len(null)} draws, seed {seed}"
    return RankTest(
        statistic=statistic,
        p_value=p_value,
        method=method,
        rank_sums=tuple(float(value) for value in sums),
        mean_ranks=tuple(float(value) for value in ranks.mean(axis=0)),
        agreement=statistic / (rankings * (options - 1)),
    )


def page(ranks: Ranks) -> RankTest:
    """Test whether rankings follow an expected order, the columns being given best first.

    Parameters
    ----------
    ranks : array, shape (rankings, options)
        Ranks within each ranking, 1 for the best, dimensionless; column 0 is expected to be the best.

    Raises
    ------
    ValueError
        If there are fewer than three options or two rankings, which the test needs.

    Source
    ------
    Page, E. B. (1963), Journal of the American Statistical Association 58, 216-230; computed by SciPy
    (`scipy.stats.page_trend_test`), exactly where no ranks are tied.

    Examples
    --------
    >>> page(np.array([[1.0, 2, 3], [1, 2, 3], [2, 1, 3]])).method
    'exact'
    """
    from scipy.stats import page_trend_test

    ranks = _checked(ranks)
    if ranks.shape[1] < 3 or ranks.shape[0] < 2:
        raise ValueError("a trend needs at least three options and two rankings")
    tied = any(len(set(row)) < len(row) for row in ranks.tolist())
    result = page_trend_test(ranks, ranked=True, method="asymptotic" if tied else "exact")
    statistic = float(friedman_statistics(ranks[None])[0])
    return RankTest(
        statistic=float(result.statistic),
        p_value=float(result.pvalue),
        method="normal approximation (tied ranks)" if tied else "exact",
        rank_sums=tuple(float(value) for value in ranks.sum(axis=0)),
        mean_ranks=tuple(float(value) for value in ranks.mean(axis=0)),
        agreement=statistic / (ranks.shape[0] * (ranks.shape[1] - 1)),
    )


def ranked_within(values: NDArray[np.float64], best: str) -> Ranks:
    """Return the ranks within each row, 1 for the best, ties sharing their mean rank.

    Parameters
    ----------
    values : array, shape (rows, options)
        Ratings or times, points or seconds.
    best : {"high", "low"}
        Which end is the better one.
    """
    from scipy.stats import rankdata

    return np.asarray(rankdata(-values if best == "high" else values, axis=1), dtype=np.float64)


def friedman_statistics(ranks: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return Friedman's statistic, corrected for ties, of many trials at once; dimensionless.

    Parameters
    ----------
    ranks : array, shape (trials, rankings, options)
        Ranks, dimensionless.

    Returns
    -------
    array, shape (trials,)
        0 where every ranking is tied throughout.
    """
    options = ranks.shape[2]
    middle = (options + 1) / 2
    between = ((ranks.sum(axis=1) - ranks.shape[1] * middle) ** 2).sum(axis=1)
    within = ((ranks - middle) ** 2).sum(axis=(1, 2))

    statistics = np.zeros(between.shape)
    np.divide((options - 1) * between, within, out=statistics, where=within > 0)
    return statistics


def simulated_null(rankings: int, options: int, seed: int, draws: int = _DRAWS) -> NDArray[np.float64]:
    """Return Friedman's statistic in `draws` trials in which nothing can be told; dimensionless.

    Parameters
    ----------
    rankings, options, seed, draws : int
        Size of a trial, seed, and number of trials, dimensionless.
    """
    untied = np.tile(np.arange(1.0, options + 1), (rankings, 1))
    spread = _simulated_spread(untied, seed, draws)
    return np.asarray(spread * 12 / (rankings * options * (options + 1)), dtype=np.float64)


def _checked(ranks: Ranks) -> Ranks:
    ranks = np.asarray(ranks, dtype=np.float64)
    if ranks.ndim != 2 or ranks.shape[0] < 1 or ranks.shape[1] < 2:
        raise ValueError("rankings must be a table of at least one row and two columns")
    return ranks


def _work(ranks: Ranks) -> int:
    """Return the additions of the exact count: cells of the grid times arrangements, over all rankings."""
    rankings, options = ranks.shape
    cells = (_scale(ranks) * rankings * (options - 1) + 1) ** (options - 1)
    return int(rankings * cells * factorial(options))


def _scale(ranks: Ranks) -> int:
    """Return 1 for whole ranks, 2 where shared ranks are halves: counted in whole numbers either way."""
    return 1 if np.array_equal(ranks, np.rint(ranks)) else 2


def _exact_p(ranks: Ranks) -> float:
    """Count every rearrangement within rankings: the share whose rank sums spread at least as far.

    The distribution of the rank sums above their minimum is built up ranking by ranking on a grid; the last
    option's sum follows from the others.
    """
    whole = np.rint(_scale(ranks) * (ranks - 1)).astype(np.int64)
    options = whole.shape[1]
    shares = np.ones((1,) * (options - 1))
    for row in whole.tolist():
        arrangements = Counter(order[:-1] for order in permutations(row))
        grown = np.zeros(tuple(size + max(row) for size in shares.shape))
        for order, times in arrangements.items():
            window = tuple(slice(add, add + size) for add, size in zip(order, shares.shape, strict=True))
            grown[window] += shares * times
        shares = grown / factorial(options)
    sums = np.indices(shares.shape)
    last = int(whole.sum()) - sums.sum(axis=0)
    spread = (sums**2).sum(axis=0) + last**2
    observed = int((whole.sum(axis=0) ** 2).sum())
    return min(1.0, float(shares[spread >= observed].sum()))


def _simulated_spread(ranks: Ranks, seed: int, draws: int = _DRAWS) -> NDArray[np.float64]:
    """Return, for random rearrangements within rankings, the squared spread of the rank sums."""
    generator = np.random.default_rng(seed)
    sums = np.zeros((draws, ranks.shape[1]))
    for row in ranks:
        sums += generator.permuted(np.tile(row, (draws, 1)), axis=1)
    return np.asarray(((sums - ranks.sum() / ranks.shape[1]) ** 2).sum(axis=1), dtype=np.float64)
