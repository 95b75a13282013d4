"""The result in plain words, including "cannot tell"."""

from __future__ import annotations

from collections.abc import Sequence

from forkwright.trial.findings import Comparison, Finding, MeasureFindings
from forkwright.trial.plan import Plan
from forkwright.trial.probability_words import belief_words, p_words
from forkwright.trial.ranks import RankTest
from forkwright.trial.request import DIFFERENCE_DESIGNS

_ALIKE = "every difference seen is the same"


def overall_finding(plan: Plan, main: Sequence[Comparison], overall: RankTest | None) -> Finding:
    """Return the one finding: a difference if any counts, "cannot tell" unless all are ruled out."""
    if any(one.finding == "difference" for one in main):
        return "difference"
    ranked = plan.request.design == "ranked" and overall is not None
    if ranked and overall is not None and overall.p_value <= plan.request.aim.alpha:
        return "difference"
    if main and all(one.finding == "no worthwhile difference" for one in main):
        return "no worthwhile difference"
    return "cannot tell"


def verdict_of(plan: Plan, finding: Finding, main: Sequence[Comparison]) -> str:
    """Return the verdict as one sentence or two."""
    if not main:
        return "Cannot tell: no answer to the main question counts."
    if finding == "difference":
        found = [_found(one) for one in main if one.finding == "difference"]
        if not found:
            return "Some option stands out, but no single pair is sure."
        return " ".join(found)
    if finding == "no worthwhile difference":
        return "No difference worth finding. " + " ".join(_ruled_out(one) for one in main)
    open_ones = [one for one in main if one.finding == "cannot tell"]
    return "Cannot tell; " + _more(plan, open_ones)


def explanation_of(
    plan: Plan,
    main: Sequence[Comparison],
    overall: RankTest | None,
    trend: RankTest | None,
    measures: Sequence[MeasureFindings] = (),
) -> tuple[str, ...]:
    """Return the sentences under the verdict: what each comparison says, with p value and interval."""
    lines = [_line(one, len(main)) for one in main]
    if overall is not None:
        lines.insert(
            0,
            f"All options together (Friedman, {overall.method}): {p_words(overall.p_value)}, agreement "
            f"between rankings {overall.agreement:.2f} of 1.",
        )
    if trend is not None:
        lines.append(f"The expected order (Page, {trend.method}): {p_words(trend.p_value)}.")
    lines += [line for measure in measures for line in _measure_lines(measure)]
    wanting = [one for one in main if one.finding == "cannot tell" and one.more]
    if wanting and overall_finding(plan, main, overall) == "cannot tell":
        lines.append(_looking_twice(plan, wanting))
    if plan.request.design in DIFFERENCE_DESIGNS:
        lines.append(
            "This test says whether the options can be told apart at all, not which of them is better."
        )
    return tuple(lines)


def _looking_twice(plan: Plan, open_ones: Sequence[Comparison]) -> str:
    alpha = plan.request.aim.alpha
    fresh = max(one.units + (one.more or 0) for one in open_ones)
    return (
        "More runs need a second plan and key. Counted together with these, a false finding becomes "
        f"likelier, at worst {2 * alpha:g} instead of {alpha:g}, since the result is looked at twice; a "
        f"fresh trial of {fresh} {open_ones[0].counted} keeps the risk."
    )


def beside_p(who: Sequence[tuple[str, int]]) -> str:
    """Return what must stand beside every p value: how many riders the answers come from."""
    answers, riders = sum(count for _, count in who), len(who)
    if riders == 0:
        return "No answers."
    most = max(count for _, count in who)
    if most == 1:
        return f"{answers} answers from {riders} riders, one each."
    said = f"{answers} answers from {riders} rider{'s' if riders > 1 else ''}, up to {most} each"
    whom = "this rider" if riders == 1 else "these riders"
    return (
        f"{said}: the p value speaks for {whom} on these days. "
        "One rider repeating n times is not n assessors."
    )


def _found(one: Comparison) -> str:
    if one.measure in DIFFERENCE_DESIGNS:
        return (
            f"The riders could tell {one.first} from {one.second}: {_right(one)} where guessing gives "
            f"{one.null * one.units:.1f}."
        )
    worse = one.second if one.better == one.first else one.first
    if one.unit == "share":
        share = one.estimate if one.better == one.first else 1 - one.estimate
        return f"{one.better} was put ahead of {worse} in {round(share * one.units)} of {one.units} answers."
    return (
        f"{one.better} was better than {worse} in {one.measure} by {abs(one.estimate):.3g} {one.unit} "
        f"({_size_interval(one)})."
    )


def _ruled_out(one: Comparison) -> str:
    if one.unit == "share":
        return (
            f"{one.first} and {one.second}: {_right(one)}; a true share of {one.worthwhile:.0%} or more is "
            f"ruled out ({_interval(one)})."
        )
    return (
        f"{one.first} and {one.second} differ in {one.measure} by less than {one.worthwhile:g} {one.unit} "
        f"({_interval(one)})."
    )


def _more(plan: Plan, open_ones: Sequence[Comparison]) -> str:
    numbers = [one.more for one in open_ones]
    wanted = max((number for number in numbers if number is not None), default=None)
    if wanted is None:
        because = next((one.more_because for one in open_ones if one.more_because), "")
        return f"{because}." if because else "no number of further runs can be named."
    one = next(one for one in open_ones if one.more == wanted)
    pairs = " for each undecided pair" if len(open_ones) > 1 else ""
    if one.counted == "riders":
        what = f"{wanted} more riders"
    else:
        runs = wanted * len(plan.sessions[0].codes)
        what = f"{wanted} more {one.counted} ({runs} runs){pairs}"
    return f"{what} {one.more_because}."


def _line(one: Comparison, family: int) -> str:
    p_value = p_words(one.p_value) + (f", corrected {p_words(one.adjusted_p)}" if family > 1 else "")
    if one.measure in DIFFERENCE_DESIGNS:
        told = (
            f" Really telling them apart: {one.effect or 0:.0%} of answers "
            f"({one.effect_low or 0:.0%} to {one.effect_high or 0:.0%})."
        )
        return f"{_right(one)}; {p_value} ({one.method}).{told}{_belief(one)}"
    if one.unit == "share":
        return (
            f"{one.first} ahead of {one.second}: {_right(one)} = {one.estimate:.0%} ({_interval(one)}); "
            f"{p_value} ({one.method}).{_belief(one)}"
        )
    effect = (
        f" Effect {one.effect:.2f} ({one.effect_low:.2f} to {one.effect_high:.2f}) standard deviations."
        if one.effect is not None and one.effect_low is not None and one.effect_high is not None
        else f" {_ALIKE.capitalize()}: no interval and no effect can be given."
    )
    return (
        f"{one.first} minus {one.second}, {one.measure}: {one.estimate:+.3g} {one.unit} ({_interval(one)}), "
        f"{one.units} {one.counted}; {p_value} ({one.method}).{effect}{_belief(one)}"
    )


def _measure_lines(measure: MeasureFindings) -> list[str]:
    """Return the means and p value of a secondary measure, and what the model with order and rider says."""
    lines = []
    if not measure.primary:
        means = ", ".join(f"{label} {mean:.3g}" for label, mean, _ in measure.means)
        lines.append(
            f"Beside the main question, {measure.name}: {means} {measure.unit}; {p_words(measure.family_p)}, "
            f"corrected over such measures {p_words(measure.family_adjusted_p)}."
        )
    if measure.model is not None:
        first = measure.means[0][0]
        found = "; ".join(
            f"{one.name} minus {first} {one.value:+.3g} ({one.low:+.3g} to {one.high:+.3g}) {measure.unit}"
            for one in measure.model.options
        )
        lines.append(f"{measure.name} with run order and rider in the model ({measure.model.kind}): {found}.")
    return lines


def _belief(one: Comparison) -> str:
    if one.belief_worthwhile is None:
        return ""
    wide = belief_words(one.belief_worthwhile)
    text = f" Believed afterwards: {wide} that it is at least the difference worth finding"
    if one.belief_ahead is not None:
        text += f", {belief_words(one.belief_ahead)} that {one.first} is above {one.second}"
    return text + "."


def _right(one: Comparison) -> str:
    return f"{round(one.estimate * one.units)} of {one.units}"


def _interval(one: Comparison) -> str:
    percent = f"{100 * one.confidence:.3g} % interval"
    if one.unit == "share":
        return f"{percent} {one.low:.0%} to {one.high:.0%}"
    if one.low == one.high:
        return _ALIKE if one.units > 1 else "a single difference"
    return f"{percent} {one.low:+.3g} to {one.high:+.3g} {one.unit}"


def _size_interval(one: Comparison) -> str:
    if one.low == one.high:
        return _ALIKE if one.units > 1 else "a single difference, without an interval"
    low, high = (one.low, one.high) if one.estimate >= 0 else (-one.high, -one.low)
    return f"{100 * one.confidence:.3g} % interval {low:.3g} to {high:.3g} {one.unit}"
