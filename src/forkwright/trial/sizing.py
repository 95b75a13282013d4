"""How many answers a trial needs, from the difference worth finding and the risks accepted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from forkwright.trial.forced_choice import GUESSING, Alternative, answers_needed, choice_power
from forkwright.trial.power import RANK_DRAWS, rank_power, rated_power, riders_are_units
from forkwright.trial.request import DIFFERENCE_DESIGNS, Request

_MOST_REPEATS = 60

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
    Forced choices: `forced_choice.answers_needed`. Ratings: `power.rated_power`. Rankings:
    `power.rank_power`.
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


def true_share(request: Request) -> float:
    """Return the share of right (or preferring) answers, dimensionless, at the difference worth finding."""
    aim, guess = request.aim, GUESSING.get(request.design, 0.5)
    if aim.discriminators is not None and request.design in DIFFERENCE_DESIGNS:
        return aim.discriminators + (1 - aim.discriminators) * guess
    return aim.preferred_share or 0.5


def alternative_of(request: Request) -> Alternative:
    """Return "greater" for tests of difference, what the request says for pairs, otherwise "two-sided"."""
    if request.design in DIFFERENCE_DESIGNS:
        return "greater"
    return request.alternative if request.design == "paired" else "two-sided"


@lru_cache(maxsize=1000)
def _kept_rank_power(preferred_share: float, options: int, answers: int, alpha: float) -> float:
    """Simulate a size once: the plan that is drawn after its size was looked at does not wait again."""
    return rank_power(preferred_share, options, answers, alpha)


def _sized(request: Request, riders: int, repeats: int) -> Size:
    aim, options, answers = request.aim, len(request.options), riders * repeats
    pairs = options * (options - 1) // 2
    each = aim.alpha / pairs if request.design in ("paired", "rated") else aim.alpha
    if request.design == "ranked":
        how = f"simulation of {RANK_DRAWS} trials; Friedman test"
        power = _kept_rank_power(aim.preferred_share or 0.5, options, answers, each)
    elif request.design == "rated":
        exact = aim.rider_spread == 0 or riders_are_units(riders, each)
        how = f"{'exact' if exact else 'approximate'}, paired t test"
        how += f" of each of {pairs} pairs" if pairs > 1 else ""
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
