"""From one test to one comparison: found, ruled out or undecided."""

from __future__ import annotations

from dataclasses import replace

from forkwright.trial.belief import Belief, MeanBelief
from forkwright.trial.differences import difference_test
from forkwright.trial.findings import Better, Comparison, Finding, Unit
from forkwright.trial.forced_choice import Alternative, choice_test
from forkwright.trial.further import more_answers, more_units
from forkwright.trial.request import DIFFERENCE_DESIGNS
from forkwright.trial.several import adjusted


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
    told_apart = measure in DIFFERENCE_DESIGNS
    more, because = (None, "") if found or excluded else more_answers(test, worthwhile, alpha, power)
    one = Comparison(
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
        better="" if told_apart or not found else _ahead(first, second, test.share > guessing),
        more=more,
        more_because=because,
    )
    if told_apart:
        one = replace(
            one,
            effect=test.discriminators,
            effect_low=test.discriminators_low,
            effect_high=test.discriminators_high,
        )
    if prior is None:
        return one
    belief = Belief(*prior, guessing if told_apart else 0.0).after(right, answers - right)
    return replace(
        one,
        belief_worthwhile=_share_belief(belief, worthwhile, alternative),
        belief_ahead=None if told_apart else belief.chance_above(0.5),
    )


def mean_comparison(
    first: str,
    second: str,
    differences: list[float],
    *,
    measure: str,
    unit: Unit,
    better: Better,
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
        more, because = more_units(test, worthwhile, alpha, power)
    one = Comparison(
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
        better=_ahead(first, second, test.mean > 0, better) if found else "",
        more=more,
        more_because=because,
        sign_p_value=test.sign_p_value,
    )
    if not sure:
        return one
    one = replace(one, effect=test.effect, effect_low=test.effect_low, effect_high=test.effect_high)
    if not believe:
        return one
    belief = MeanBelief(test.mean, test.spread / test.units**0.5, test.units - 1)
    return replace(
        one,
        belief_worthwhile=_mean_belief(belief, worthwhile) if worthwhile else None,
        belief_ahead=belief.chance_above(0.0),
    )


def corrected(comparisons: list[Comparison], alpha: float, better: Better = "high") -> tuple[Comparison, ...]:
    """Hold a family of comparisons against one risk `alpha` (dimensionless) by Holm's method.

    What Holm's method finds beyond the shared risk counts as found; what was found stays found. `better` says
    which end of what was measured is the better one; of a share it is the high one.
    """
    result = []
    for one, p_value in zip(comparisons, adjusted([one.p_value for one in comparisons]), strict=True):
        if p_value <= alpha and one.finding != "difference":
            ahead = _ahead(one.first, one.second, one.estimate > one.null, better)
            one = replace(one, finding="difference", better=ahead, more=None, more_because="")
        result.append(replace(one, adjusted_p=p_value))
    return tuple(result)


def undecided(one: Comparison) -> Comparison:
    """Return a comparison whose difference does not count, because the test before it found nothing."""
    if one.finding != "difference":
        return one
    return replace(one, finding="cannot tell", better="", more_because="the overall test found nothing")


def _finding(found: bool, excluded: bool) -> Finding:
    if found:
        return "difference"
    return "no worthwhile difference" if excluded else "cannot tell"


def _ahead(first: str, second: str, first_is_higher: bool, better: Better = "high") -> str:
    return first if first_is_higher == (better == "high") else second


def _share_belief(belief: Belief, worthwhile: float, alternative: Alternative) -> float:
    """Return the belief that the share is as far from even as the one worth finding, either way if asked."""
    above = belief.chance_above(worthwhile)
    return above if alternative == "greater" else above + 1 - belief.chance_above(1 - worthwhile)


def _mean_belief(belief: MeanBelief, worthwhile: float) -> float:
    """Return the belief that the difference is as large as the one worth finding, either way."""
    return belief.chance_above(worthwhile) + 1 - belief.chance_above(-worthwhile)
