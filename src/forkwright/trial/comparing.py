"""From one test to one comparison: found, ruled out or undecided, and how many more answers would decide."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from forkwright.trial.belief import Belief, MeanBelief
from forkwright.trial.differences import DifferenceTest, difference_test
from forkwright.trial.findings import Comparison, Finding
from forkwright.trial.forced_choice import Alternative, ChoiceTest, answers_needed, choice_test
from forkwright.trial.several import adjusted
from forkwright.trial.sizing import t_power

_FURTHER = 10  # how many times the answers so far are looked ahead before saying that no number would do
_MOST_UNITS = 2000


def share_comparison(
    first: str,
    second: str,
    right: int,
    answers: int,
    *,
    measure: str,
    guessing: float,
    worthwhile: float,
    alpha: float,
    power: float,
    alternative: Alternative,
    prior: tuple[float, float] | None = None,
) -> Comparison:
    """Compare two options by counted answers.

    Parameters
    ----------
    first, second : str
        Labels; a preference counts for `first`.
    right, answers : int
        Right (or preferring) answers and all answers, dimensionless.
    measure : str
        What was asked.
    guessing, worthwhile : float
        The share by guessing, and the share at the difference worth finding, dimensionless.
    alpha, power : float
        The risk accepted in this comparison, and the chance wanted of finding the difference, dimensionless.
    alternative : {"greater", "two-sided"}
        As planned.
    prior : (float, float), optional
        Counts of right and wrong answers believed in before; adds the belief afterwards.
    """
    test = choice_test(right, answers, guessing, alternative, 1 - alpha)
    found = test.p_value <= alpha
    excluded = test.share_high < worthwhile and (alternative == "greater" or test.share_low > 1 - worthwhile)
    told = measure in ("triangle", "duo-trio")
    belief = None
    if prior is not None:
        floor = guessing if told else 0.0
        belief = Belief(*prior, floor).after(right, answers - right)
    more, because = (None, "")
    if not found and not excluded:
        more, because = _more_answers(test, worthwhile, alpha, power)
    return Comparison(
        first=first,
        second=second,
        measure=measure,
        unit="share",
        units=answers,
        counted="answers",
        estimate=test.share,
        low=test.share_low,
        high=test.share_high,
        confidence=test.confidence,
        null=guessing,
        worthwhile=worthwhile,
        p_value=test.p_value,
        adjusted_p=test.p_value,
        method="exact binomial, " + ("one-sided" if alternative == "greater" else "two-sided"),
        finding=_finding(found, excluded),
        better="" if told or not found else (first if test.share > guessing else second),
        more=more,
        more_because=because,
        effect=test.discriminators if told else None,
        effect_low=test.discriminators_low if told else None,
        effect_high=test.discriminators_high if told else None,
        belief_worthwhile=_worthwhile_belief(belief, worthwhile, alternative) if belief else None,
        belief_ahead=belief.chance_above(0.5) if belief and not told else None,
    )


def mean_comparison(
    first: str,
    second: str,
    differences: list[float],
    *,
    measure: str,
    unit: Literal["points", "s"],
    better: Literal["high", "low"],
    counted: str,
    worthwhile: float | None,
    alpha: float,
    power: float,
    believe: bool = False,
) -> Comparison:
    """Compare two options by paired differences, `first` minus `second`.

    Parameters
    ----------
    first, second : str
        Labels.
    differences : list of float
        One for each rider or block, points or seconds.
    measure, unit, better, counted : str
        What was measured, its unit, which end is better, and what a difference belongs to.
    worthwhile : float or None
        The difference worth finding, points or seconds; None for what was not planned for.
    alpha, power : float
        As in `share_comparison`, dimensionless.
    believe : bool
        Add the belief from a flat start.
    """
    test = difference_test(differences, 1 - alpha)
    found = test.p_value <= alpha
    sure = test.units > 1 and test.spread > 0
    excluded = bool(worthwhile and sure and -worthwhile < test.mean_low and test.mean_high < worthwhile)
    more, because = (None, "")
    if worthwhile and not found and not excluded:
        more, because = _more_units(test, worthwhile, alpha, power)
    belief = (
        MeanBelief(test.mean, test.spread / test.units**0.5, test.units - 1) if believe and sure else None
    )
    ahead = (test.mean > 0) == (better == "high")
    return Comparison(
        first=first,
        second=second,
        measure=measure,
        unit=unit,
        units=test.units,
        counted=counted,
        estimate=test.mean,
        low=test.mean_low,
        high=test.mean_high,
        confidence=1 - alpha,
        null=0.0,
        worthwhile=worthwhile or 0.0,
        p_value=test.p_value,
        adjusted_p=test.p_value,
        method=f"sign-change test, {test.method}",
        finding=_finding(found, excluded),
        better=(first if ahead else second) if found else "",
        more=more,
        more_because=because,
        effect=test.effect if sure else None,
        effect_low=test.effect_low if sure else None,
        effect_high=test.effect_high if sure else None,
        sign_p_value=test.sign_p_value,
        belief_worthwhile=(
            belief.chance_above(worthwhile) + 1 - belief.chance_above(-worthwhile)
            if belief and worthwhile
            else None
        ),
        belief_ahead=belief.chance_above(0.0) if belief else None,
    )


def corrected(comparisons: list[Comparison], alpha: float) -> tuple[Comparison, ...]:
    """Hold a family of comparisons against one risk `alpha` (dimensionless) by Holm's method.

    What Holm's method finds beyond the shared risk counts as found; what was found stays found.
    """
    result = []
    for one, p_value in zip(comparisons, adjusted([one.p_value for one in comparisons]), strict=True):
        found = p_value <= alpha
        if found and one.finding != "difference":
            high_is_first = one.estimate > one.null
            better = one.better or (one.first if high_is_first else one.second)
            one = replace(one, finding="difference", better=better, more=None, more_because="")
        result.append(replace(one, adjusted_p=p_value))
    return tuple(result)


def _worthwhile_belief(belief: Belief, worthwhile: float, alternative: Alternative) -> float:
    """Return the belief that the share is as far from even as the one worth finding, either way if asked."""
    above = belief.chance_above(worthwhile)
    return above if alternative == "greater" else above + 1 - belief.chance_above(1 - worthwhile)


def undecided(one: Comparison) -> Comparison:
    """Return a comparison whose difference does not count, because the test before it found nothing."""
    if one.finding != "difference":
        return one
    return replace(one, finding="cannot tell", better="", more_because="the overall test found nothing")


def _finding(found: bool, excluded: bool) -> Finding:
    if found:
        return "difference"
    return "no worthwhile difference" if excluded else "cannot tell"


def _more_answers(test: ChoiceTest, worthwhile: float, alpha: float, power: float) -> tuple[int | None, str]:
    try:
        needed = answers_needed(worthwhile, test.guessing, alpha, power, test.alternative)
    except ValueError:
        return None, "the difference worth finding is too small for any ride test"
    if needed > test.answers:
        return needed - test.answers, _AS_PLANNED.format(power=power)

    return _told(test.answers, _deciding_answers(test, worthwhile, alpha))


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


def _more_units(
    test: DifferenceTest, worthwhile: float, alpha: float, power: float
) -> tuple[int | None, str]:
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
    return _told(test.units, np.asarray(totals[decided], dtype=np.int64))


_AS_PLANNED = "would find the difference worth finding, if it is there, with probability {power:.2f}"


def _told(so_far: int, deciding: NDArray[np.int64]) -> tuple[int | None, str]:
    if deciding.size:
        return int(deciding[0]) - so_far, "would decide, if what was seen stays as it is"
    return None, f"not even {_FURTHER} times as many would decide, if what was seen stays as it is"
