"""Forced choices: exact binomial tests, the power of them, and what share of riders could really tell."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

Alternative = Literal["greater", "two-sided"]

#: The chance of a right answer by guessing alone. Triangle: ISO 4120; duo-trio: ISO 10399; paired: ISO 5495.
GUESSING: dict[str, float] = {"triangle": 1 / 3, "duo-trio": 1 / 2, "paired": 1 / 2}

_LARGEST = 20_000  # answers; no ride test comes near


@dataclass(frozen=True)
class ChoiceTest:
    """What `right` answers out of `answers` say against guessing. All fields are dimensionless."""

    answers: int
    right: int
    guessing: float
    alternative: Alternative
    p_value: float
    share: float
    """The share of right (or preferring) answers."""
    share_low: float
    share_high: float
    """The interval of that share, Clopper and Pearson, at `confidence`, two-sided."""
    discriminators: float
    """(share - guessing) / (1 - guessing), not below 0: the share that could really tell."""
    discriminators_low: float
    discriminators_high: float
    confidence: float


def choice_test(
    right: int,
    answers: int,
    guessing: float,
    alternative: Alternative = "greater",
    confidence: float = 0.95,
) -> ChoiceTest:
    """Test a count of right answers against guessing by the exact binomial distribution.

    Parameters
    ----------
    right, answers : int
        Right (or preferring) answers, and all answers, dimensionless.
    guessing : float
        The chance of a right answer when there is nothing to tell, dimensionless, between 0 and 1.
    alternative : {"greater", "two-sided"}
        Whether only many right answers count against guessing, or few as well. For an even chance the
        two-sided value is twice the smaller tail, at most 1.
    confidence : float
        The confidence of the intervals, dimensionless.

    Raises
    ------
    ValueError
        If there is no answer, or more right answers than answers.

    Source
    ------
    ISO 4120 (triangle test) and ISO 5495 (paired comparison): the binomial tail. Interval: Clopper, C. J.
    and Pearson, E. S. (1934), Biometrika 26, 404-413.

    Examples
    --------
    >>> round(choice_test(8, 12, 1 / 3).p_value, 4)
    0.0188
    """
    from scipy.stats import binomtest

    if not 0 <= right <= answers or answers < 1:
        raise ValueError(f"{right} right answers out of {answers} cannot be")
    test = binomtest(right, answers, guessing, alternative=alternative)
    span = binomtest(right, answers, guessing).proportion_ci(confidence, method="exact")
    share, low, high = right / answers, float(span.low), float(span.high)
    return ChoiceTest(
        answers=answers,
        right=right,
        guessing=guessing,
        alternative=alternative,
        p_value=float(test.pvalue),
        share=share,
        share_low=low,
        share_high=high,
        discriminators=discriminators(share, guessing),
        discriminators_low=discriminators(low, guessing),
        discriminators_high=discriminators(high, guessing),
        confidence=confidence,
    )


def discriminators(share_right: float, guessing: float) -> float:
    """Return the share that could really tell, given the share of right answers (both dimensionless).

    Those who can tell are right, the others guess: ``share_right = d + (1 - d) * guessing``.

    Source
    ------
    ISO 4120, the proportion of distinguishers.

    Examples
    --------
    >>> round(discriminators(0.6, 1 / 3), 9)
    0.4
    """
    return max(0.0, (share_right - guessing) / (1 - guessing))


def minimum_right(
    answers: int, guessing: float, alpha: float, alternative: Alternative = "greater"
) -> int | None:
    """Return the fewest right answers that are significant, or None where not even all of them are.

    Parameters
    ----------
    answers : int
        All answers, dimensionless.
    guessing, alpha : float
        The chance of a right guess, and the risk accepted of seeing a difference that is not there,
        dimensionless.
    alternative : {"greater", "two-sided"}
        For "two-sided", `alpha` is shared between the tails.

    Source
    ------
    ISO 4120 and ISO 5495, tables of minimum numbers, which follow the exact binomial distribution.

    Examples
    --------
    >>> minimum_right(24, 1 / 3, 0.05)
    13
    """
    from scipy.stats import binom

    risk = alpha / 2 if alternative == "two-sided" else alpha
    right = max(0, int(binom.isf(risk, answers, guessing)) - 1)
    while right <= answers and binom.sf(right - 1, answers, guessing) > risk:
        right += 1
    return right if right <= answers else None


def choice_power(
    answers: int,
    true_share: float,
    guessing: float,
    alpha: float,
    alternative: Alternative = "greater",
) -> float:
    """Return the exact chance (dimensionless) that `answers` answers show a true share of right answers.

    Parameters
    ----------
    answers : int
        All answers, dimensionless.
    true_share, guessing, alpha : float
        The true chance of a right answer, the chance by guessing, and the risk accepted, dimensionless.
    alternative : {"greater", "two-sided"}
        As in `minimum_right`.

    Source
    ------
    Binomial tail beyond `minimum_right`; ISO 4120, annex on the number of assessors.

    Examples
    --------
    >>> round(choice_power(30, 0.4 + 0.6 / 3, 1 / 3, 0.05), 3)
    0.903
    """
    from scipy.stats import binom

    right = minimum_right(answers, guessing, alpha, alternative)
    if right is None:
        return 0.0
    upper = float(binom.sf(right - 1, answers, true_share))
    lower = float(binom.cdf(answers - right, answers, true_share)) if alternative == "two-sided" else 0.0
    return upper + lower


@cache
def answers_needed(
    true_share: float,
    guessing: float,
    alpha: float,
    power: float,
    alternative: Alternative = "greater",
) -> int:
    """Return the fewest answers (dimensionless) whose exact power reaches what is asked.

    The power of a count goes up in a saw-tooth, so a few more answers may have a little less power.

    Parameters
    ----------
    true_share, guessing, alpha, power : float
        The true chance of a right answer, the chance by guessing, the risk accepted and the chance wanted
        of finding the difference, dimensionless.
    alternative : {"greater", "two-sided"}
        As in `minimum_right`.

    Raises
    ------
    ValueError
        If more than 20 000 answers would be needed.

    Source
    ------
    ISO 4120, annex on the number of assessors (smallest number with the stated risks).

    Examples
    --------
    >>> answers_needed(0.4 + 0.6 / 3, 1 / 3, 0.05, 0.90)
    30
    """
    answers = 1
    while answers <= _LARGEST:
        if choice_power(answers, true_share, guessing, alpha, alternative) >= power:
            return answers
        answers += 1 if answers < 2000 else 50
    raise ValueError(f"more than {_LARGEST} answers would be needed: the difference is too small to find")
