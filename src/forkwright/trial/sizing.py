"""How many answers a trial needs, from the difference worth finding and the risks accepted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from forkwright.trial.forced_choice import GUESSING, Alternative, answers_needed, choice_power
from forkwright.trial.request import Request

#: With fewer riders than this, each block of runs is a unit and the result holds for these riders only.
FEWEST_RIDERS_AS_UNITS = 6
_MOST_REPEATS = 60
_RANK_DRAWS = 1000

#: Told the share of the work done (0 to 1) and what is being done; may raise to stop it.
Tell = Callable[[float, str], None]


@dataclass(frozen=True)
class Size:
    """How large the trial is and what it can find. All fields are dimensionless."""

    riders: int
    repeats: int
    """Sessions of each rider (for paired comparisons: of each pair)."""
    answers: int
    """Answers to each question tested: riders times repeats."""
    power: float
    """The chance that the difference worth finding is found."""
    alpha_each: float
    """The risk accepted in one comparison, after sharing `alpha` among all of them (Bonferroni)."""
    how: str
    """How the power was found."""


def size_for(request: Request, riders: int | None = None, tell: Tell | None = None) -> Size:
    """Return the size the request asks for, or, if it fixes the repeats, what those can find.

    Parameters
    ----------
    request : Request
        What is asked; `request.aim` holds the difference and the risks.
    riders : int, optional
        Another number of riders than the request names, to see the choice; dimensionless.
    tell : callable, optional
        Told the share done and what has been tried; may raise to stop. Rankings are simulated, which takes
        seconds.

    Returns
    -------
    Size
        With the smallest number of repeats that reaches the power, at most 60. Where 60 do not reach it,
        60 with the power they have.

    Source
    ------
    Forced choices: `forced_choice.answers_needed`. Ratings: `rated_power`. Rankings: `rank_power`.
    """
    count = riders or len(request.riders)
    if request.repeats is not None and riders is None:
        return _sized(request, count, request.repeats)
    low, high = _start(request, count), _MOST_REPEATS
    for repeats in range(low, high + 1):
        size = _sized(request, count, repeats)
        if tell is not None:
            done = max(size.power / request.aim.power, repeats / high)
            tell(min(1.0, done), f"{count} riders, {repeats} sessions each: power {size.power:.2f}")
        if size.power >= request.aim.power or repeats == high:
            return size
    return _sized(request, count, high)


def choices(request: Request, numbers: tuple[int, ...] = (2, 4, 6, 8, 12, 16, 24)) -> list[Size]:
    """Return other ways to reach the same power: more riders with fewer repeats, or the reverse."""
    if request.design == "ranked":  # simulated: too slow for a table
        return []
    return [size_for(request.model_copy(update={"repeats": None}), riders) for riders in numbers]


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
    the Behavioral Sciences, 2nd ed., ch. 2 (from memory; tested against statsmodels).

    Examples
    --------
    >>> round(rated_power(1.0, 2**-0.5, 0.0, 12, 1, 0.05), 3)
    0.883
    """
    if riders_are_units(riders, alpha):
        units, spread = riders, math.sqrt(rider_spread**2 + 2 * run_spread**2 / repeats)
    else:
        units, spread = riders * repeats, math.sqrt(2.0) * run_spread
    if smallest_sign_p(units) > alpha:  # the exact test of the analysis could never be significant
        return 0.0
    return t_power(difference / spread, units, alpha)


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


def t_power(effect: float, units: int, alpha: float) -> float:
    """Return the power (dimensionless) of the two-sided one-sample t test.

    Parameters
    ----------
    effect : float
        Mean difference over its standard deviation, dimensionless.
    units : int
        How many differences, dimensionless.
    alpha : float
        The risk accepted, dimensionless.

    Source
    ------
    Noncentral t distribution (see `rated_power`).
    """
    from scipy.stats import nct, t

    if units < 2:
        return 0.0
    bound, shift = float(t.isf(alpha / 2, units - 1)), effect * math.sqrt(units)
    upper, lower = float(nct.sf(bound, units - 1, shift)), float(nct.cdf(-bound, units - 1, shift))
    power = upper + (lower if math.isfinite(lower) else 0.0)
    return min(1.0, power) if math.isfinite(power) else 1.0


def rank_power(
    preferred_share: float, options: int, answers: int, alpha: float, seed: int = 1, draws: int = _RANK_DRAWS
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


def true_share(request: Request) -> float:
    """Return the share of right (or preferring) answers, dimensionless, at the difference worth finding."""
    aim, guess = request.aim, GUESSING.get(request.design, 0.5)
    if aim.discriminators is not None and request.design in ("triangle", "duo-trio"):
        return aim.discriminators + (1 - aim.discriminators) * guess
    return aim.preferred_share or 0.5


def alternative_of(request: Request) -> Alternative:
    """Return "greater" for tests of difference, otherwise what the request says."""
    return "greater" if request.design in ("triangle", "duo-trio") else request.alternative


@lru_cache(maxsize=1000)
def _kept_rank_power(preferred_share: float, options: int, answers: int, alpha: float) -> float:
    """Simulate a size once: the plan that is drawn after its size was looked at does not wait again."""
    return rank_power(preferred_share, options, answers, alpha)


def _sized(request: Request, riders: int, repeats: int) -> Size:
    aim, options, answers = request.aim, len(request.options), riders * repeats
    pairs = options * (options - 1) // 2
    each = aim.alpha / pairs if request.design in ("paired", "rated") else aim.alpha
    if request.design == "ranked":
        how = f"simulation of {_RANK_DRAWS} trials; Friedman test"
        power = _kept_rank_power(aim.preferred_share or 0.5, options, answers, each)
    elif request.design == "rated":
        how = "exact, paired t test" + (f" of each of {pairs} pairs" if pairs > 1 else "")
        power = rated_power(
            aim.difference or 0.0, aim.run_spread or 1.0, aim.rider_spread, riders, repeats, each
        )
    else:
        how = "exact, binomial" + (f", each of {pairs} pairs" if pairs > 1 else "")
        power = choice_power(
            answers, true_share(request), GUESSING[request.design], each, alternative_of(request)
        )
    return Size(riders, repeats, answers, power, each, how)


def _start(request: Request, riders: int) -> int:
    if request.design not in GUESSING:
        return 1
    pairs = len(request.options) * (len(request.options) - 1) // 2
    each = request.aim.alpha / pairs if request.design == "paired" else request.aim.alpha
    answers = answers_needed(
        true_share(request), GUESSING[request.design], each, request.aim.power, alternative_of(request)
    )
    return min(_MOST_REPEATS, math.ceil(answers / riders))
