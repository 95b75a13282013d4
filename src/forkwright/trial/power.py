"""The power of ratings and rankings: the chance that a trial of a size finds the difference worth finding.

For forced choices see `forced_choice`.
"""

from __future__ import annotations

import math

#: With fewer riders than this, each block of runs is a unit and the result holds for these riders only.
FEWEST_RIDERS_AS_UNITS = 6
RANK_DRAWS = 1000


def rated_power(
    difference: float, run_spread: float, rider_spread: float, riders: int, repeats: int, alpha: float
) -> float:
    """Return the chance (dimensionless) that a two-sided paired test finds a difference between two options.

    Parameters
    ----------
    difference : float
        The true difference, points or seconds.
    run_spread : float
        Standard deviation of one run, same rider and option, points or seconds.
    rider_spread : float
        Standard deviation between riders of the true difference, points or seconds.
    riders, repeats : int
        Riders, and blocks of runs each, dimensionless. What is counted, see `riders_are_units`.
    alpha : float
        The risk accepted in this comparison, dimensionless.

    Source
    ------
    Noncentral t distribution of the paired t statistic; Cohen, J. (1988), Statistical Power Analysis for
    the Behavioral Sciences, 2nd ed., ch. 2 (from memory; tested against statsmodels). Blocks of few riders:
    see `block_power`.

    Examples
    --------
    >>> round(rated_power(1.0, 2**-0.5, 0.0, 12, 1, 0.05), 3)
    0.883
    """
    by_rider = riders_are_units(riders, alpha)
    if smallest_sign_p(riders if by_rider else riders * repeats) > alpha:  # the exact test could never tell
        return 0.0
    if by_rider:
        spread = math.sqrt(rider_spread**2 + 2 * run_spread**2 / repeats)
        return t_power(difference / spread, riders, alpha)
    return block_power(difference, run_spread, rider_spread, riders, repeats, alpha)


def block_power(
    difference: float, run_spread: float, rider_spread: float, riders: int, repeats: int, alpha: float
) -> float:
    """Return the power (dimensionless) where each block of runs is counted, parameters as `rated_power`.

    Blocks of one rider share what is particular to the rider. That moves the mean more than the spread among
    the blocks shows, so riders who differ cost power.

    Source
    ------
    Derived. A block's difference is difference + rider + run, with variances T = rider_spread^2 and
    R = 2 run_spread^2. Over N = riders * repeats blocks the mean has the variance T / riders + R / N, and the
    spread among blocks is expected to be R + T (N - repeats) / (N - 1). The t statistic is then taken as a
    noncentral t of N - 1 degrees of freedom, stretched by the ratio of the two; exact where T = 0. Tested by
    simulation.
    """
    units, runs, between = riders * repeats, 2 * run_spread**2, rider_spread**2
    if units < 2:
        return 0.0
    of_the_mean = between / riders + runs / units
    as_seen = (runs + between * (units - repeats) / (units - 1)) / units
    return t_power(
        difference / math.sqrt(of_the_mean * units), units, alpha, math.sqrt(as_seen / of_the_mean)
    )


def smallest_sign_p(units: int) -> float:
    """Return the smallest two-sided p value (dimensionless) that `units` sign changes can give: 2 / 2^n."""
    return min(1.0, 2.0 ** (1 - units))


def riders_are_units(riders: int, alpha: float) -> bool:
    """Tell whether riders are what is counted in a rated trial, or blocks of runs.

    Riders, if there are 6 or more and enough for the exact test to reach the risk `alpha` (dimensionless);
    the result then speaks for riders like them. Otherwise blocks: it holds for these riders only.

    Parameters
    ----------
    riders : int
        How many riders, dimensionless.
    alpha : float
        The risk accepted in one comparison, dimensionless.
    """
    return riders >= FEWEST_RIDERS_AS_UNITS and smallest_sign_p(riders) <= alpha


def t_power(effect: float, units: int, alpha: float, stretched: float = 1.0) -> float:
    """Return the power (dimensionless) of the two-sided one-sample t test.

    Parameters
    ----------
    effect : float
        Mean difference over its standard deviation, dimensionless.
    units : int
        How many differences, dimensionless.
    alpha : float
        The risk accepted, dimensionless.
    stretched : float
        How large the error of the mean comes out of the differences' spread, over what it is; 1 where the
        differences are independent, dimensionless.

    Source
    ------
    Noncentral t distribution (see `rated_power`).
    """
    from scipy.stats import nct, t

    if units < 2:
        return 0.0
    bound, shift = stretched * float(t.isf(alpha / 2, units - 1)), effect * math.sqrt(units)
    upper, lower = float(nct.sf(bound, units - 1, shift)), float(nct.cdf(-bound, units - 1, shift))
    power = upper + (lower if math.isfinite(lower) else 0.0)
    return min(1.0, power) if math.isfinite(power) else 1.0


def rank_power(
    preferred_share: float, options: int, answers: int, alpha: float, seed: int = 1, draws: int = RANK_DRAWS
) -> float:
    """Return the chance (dimensionless) that the Friedman test finds one option standing out.

    Parameters
    ----------
    preferred_share : float
        How often the better option is put before any one of the others, dimensionless. The others are
        alike. Each rider's feeling has a normal error, so the better option stands out by
        ``sqrt(2) * Phi^-1(share)`` of that error (Thurstone's case V).
    options, answers : int
        Options, and rankings in all, dimensionless.
    alpha : float
        The risk accepted, dimensionless.
    seed, draws : int
        Seed and number of simulated trials, dimensionless; the error of the result is about
        ``0.5 / sqrt(draws)``.

    Source
    ------
    Thurstone, L. L. (1927), "A law of comparative judgment", Psychological Review 34 (from memory);
    simulation.
    """
    import numpy as np
    from scipy.stats import norm

    from forkwright.trial.ranks import friedman_statistics, simulated_null

    generator = np.random.default_rng(seed)
    feelings = generator.normal(size=(draws, answers, options))
    feelings[:, :, 0] -= math.sqrt(2.0) * float(norm.ppf(preferred_share))  # small is first
    ranks = feelings.argsort(axis=2).argsort(axis=2).astype(np.float64) + 1
    null = simulated_null(answers, options, seed=seed + 1, draws=20_000)
    threshold = float(np.quantile(null, 1 - alpha, method="higher"))
    if float(np.mean(null >= threshold - 1e-9)) > alpha:  # ties at the bound would break the risk
        beyond = null[null > threshold + 1e-9]
        threshold = float(beyond.min()) if beyond.size else math.inf
    return float(np.mean(friedman_statistics(ranks) >= threshold - 1e-9))
