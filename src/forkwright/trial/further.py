"""How many more answers would decide a comparison that is still open."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.trial.differences import DifferenceTest
from forkwright.trial.forced_choice import ChoiceTest, answers_needed
from forkwright.trial.power import t_power

_FURTHER = 10  # how many times the answers so far are looked ahead before saying that no number would do
_MOST_UNITS = 2000
_AS_PLANNED = "would find the difference worth finding, if it is there, with probability {power:.2f}"


def more_answers(test: ChoiceTest, worthwhile: float, alpha: float, power: float) -> tuple[int | None, str]:
    """Return how many more answers would decide (None where no number would), and why so many.

    Parameters
    ----------
    test : ChoiceTest
        What has been answered so far.
    worthwhile, alpha, power : float
        The share at the difference worth finding, the risk accepted in this comparison and the chance wanted
        of finding the difference, dimensionless.
    """
    try:
        needed = answers_needed(worthwhile, test.guessing, alpha, power, test.alternative)
    except ValueError:
        return None, "the difference worth finding is too small for any ride test"
    if needed > test.answers:
        return needed - test.answers, _AS_PLANNED.format(power=power)

    return _first_of(test.answers, _deciding_answers(test, worthwhile, alpha))


def _deciding_answers(test: ChoiceTest, worthwhile: float, alpha: float) -> NDArray[np.int64]:
    """Return the numbers of answers, up to ten times as many, that would decide at the share seen."""
    from scipy.stats import beta, binom

    totals = np.arange(test.answers + 1, test.answers * (1 + _FURTHER))
    right = np.rint(test.share * totals)
    two_sided = test.alternative == "two-sided"
    upper = binom.sf(right - 1, totals, test.guessing)
    tail = 2 * np.minimum(upper, binom.cdf(right, totals, test.guessing)) if two_sided else upper
    high = np.where(right < totals, beta.ppf(1 - alpha / 2, right + 1, totals - right), 1.0)
    low = np.where(right > 0, beta.ppf(alpha / 2, right, totals - right + 1), 0.0)
    excluded = (high < worthwhile) & ((low > 1 - worthwhile) | (not two_sided))
    return np.asarray(totals[(tail <= alpha) | excluded], dtype=np.int64)


def more_units(test: DifferenceTest, worthwhile: float, alpha: float, power: float) -> tuple[int | None, str]:
    """Return how many more differences would decide, and why, as `more_answers`; points or seconds."""
    from scipy.stats import t

    if test.units < 2 or test.spread == 0:
        return None, "too few differences to say how much they spread"
    needed = next(
        (
            units
            for units in range(2, _MOST_UNITS)
            if t_power(worthwhile / test.spread, units, alpha) >= power
        ),
        None,
    )
    if needed is None:
        return None, "the difference worth finding is too small beside the spread seen"
    if needed > test.units:
        return needed - test.units, _AS_PLANNED.format(power=power)

    totals = np.arange(test.units + 1, test.units * (1 + _FURTHER))
    half = t.ppf(1 - alpha / 2, totals - 1) * test.spread / np.sqrt(totals)
    decided = (abs(test.mean) > half) | (abs(test.mean) + half < worthwhile)
    return _first_of(test.units, np.asarray(totals[decided], dtype=np.int64))


def _first_of(so_far: int, deciding: NDArray[np.int64]) -> tuple[int | None, str]:
    if deciding.size:
        return int(deciding[0]) - so_far, "would decide, if what was seen stays as it is"
    return None, f"not even {_FURTHER} times as many would decide, if what was seen stays as it is"
