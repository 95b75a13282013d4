"""From the answers that count to a verdict: which test answers which design."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from forkwright.trial.answers import Answers, Measurement, counted
from forkwright.trial.comparing import corrected, mean_comparison, share_comparison, undecided
from forkwright.trial.findings import Analysis, Comparison, MeasureFindings
from forkwright.trial.folder import Trial
from forkwright.trial.forced_choice import GUESSING
from forkwright.trial.mixed import order_model
from forkwright.trial.plan import Plan
from forkwright.trial.ranks import RankTest, friedman, page, ranked_within
from forkwright.trial.several import adjusted
from forkwright.trial.sizing import alternative_of, riders_are_units, true_share
from forkwright.trial.trends import choice_trends, measure_trend
from forkwright.trial.verdict import beside_p, explanation_of, overall_finding, verdict_of


@dataclass(frozen=True)
class Options:
    """What may be asked for beside the planned tests."""

    believe: bool = False
    prior: tuple[float, float] = (1.0, 1.0)
    """Counts of right and wrong answers believed in before, dimensionless."""


def analyse_trial(trial: Trial, options: Options | None = None) -> Analysis:
    """Analyse an opened trial. Raises InputError if it is not open, or nothing in it counts."""
    key = trial.opened_key()
    answers = counted(trial.plan, key, trial.kept(), trial.broken_at)
    notes = list(trial.tampering())
    if trial.broken_at is not None:
        notes.append(f"the blind was broken on {trial.broken_at:%Y-%m-%d %H:%M}: later answers do not count")
    if aside := trial.set_aside():
        notes.append(f"{len(aside)} record(s) were set aside and do not count; see set_aside.jsonl")
    return analyse(trial.plan, answers, options or Options(), tuple(notes))


def analyse(
    plan: Plan, answers: Answers, options: Options | None = None, notes: tuple[str, ...] = ()
) -> Analysis:
    """Analyse answers as the plan laid down.

    Parameters
    ----------
    plan : Plan
        With design, risks and the difference worth finding.
    answers : Answers
        What counts.
    options : Options, optional
        The Bayesian update, if wanted.
    notes : tuple of str
        Warnings that are known already.

    Returns
    -------
    Analysis
        With `finding` "cannot tell" where nothing counts.
    """
    asked = options or Options()
    design = plan.request.design
    overall = trend = None
    main: tuple[Comparison, ...] = ()
    measures = _measures(plan, answers, asked)
    if design in ("triangle", "duo-trio"):
        main = _difference(plan, answers, asked)
    elif design == "paired":
        main = _preferences(plan, answers, asked)
    elif design == "ranked":
        overall, trend, main = _rankings(plan, answers, asked)
    else:
        main = next((one.comparisons for one in measures if one.primary), ())
        overall = next((one.overall for one in measures if one.primary), None)
    who = _who(plan, answers)
    finding = overall_finding(plan, main, overall)
    return Analysis(
        design=design,
        question=plan.request.question,
        answers=sum(count for _, count in who),
        riders=len(who),
        answers_by_rider=who,
        main=main,
        overall=overall,
        expected_order=trend,
        measures=measures,
        trends=(*choice_trends(answers), *(trend for one in measures for trend in measure_trend(one))),
        finding=finding,
        verdict=verdict_of(plan, finding, main),
        explanation=explanation_of(plan, main, overall, trend, measures),
        beside_p=beside_p(who),
        left_out=answers.left_out,
        warnings=(*notes, *_warnings(plan, answers, who, measures)),
    )


def _difference(plan: Plan, answers: Answers, asked: Options) -> tuple[Comparison, ...]:
    request = plan.request
    if not answers.choices:
        return ()
    return (
        share_comparison(
            request.labels[0],
            request.labels[1],
            sum(choice.right is True for choice in answers.choices),
            len(answers.choices),
            measure=request.design,
            guessing=GUESSING[request.design],
            worthwhile=true_share(request),
            alpha=request.aim.alpha,
            power=request.aim.power,
            alternative="greater",
            prior=asked.prior if asked.believe else None,
        ),
    )


def _preferences(plan: Plan, answers: Answers, asked: Options) -> tuple[Comparison, ...]:
    request = plan.request
    found = []
    for first, second in _pairs(plan):
        chosen = [one.chosen for one in answers.choices if set(one.options) == {first, second}]
        if chosen:
            found.append(_share(plan, first, second, chosen.count(first), len(chosen), asked))
    return corrected(found, request.aim.alpha)


def _rankings(
    plan: Plan, answers: Answers, asked: Options
) -> tuple[RankTest | None, RankTest | None, tuple[Comparison, ...]]:
    request = plan.request
    if not answers.rankings:
        return None, None, ()
    places = [{option: one.options.index(option) + 1.0 for option in one.options} for one in answers.rankings]
    overall = friedman(np.array([[row[label] for label in request.labels] for row in places]))
    trend = None
    if len(request.expected_order) > 2 and len(places) > 1:
        trend = page(np.array([[row[label] for label in request.expected_order] for row in places]))
    found = [
        _share(plan, first, second, sum(row[first] < row[second] for row in places), len(places), asked)
        for first, second in _pairs(plan)
    ]
    pairs = corrected(found, request.aim.alpha)
    if overall.p_value > request.aim.alpha:  # the pairs count only once Friedman's test has found something
        pairs = tuple(undecided(one) for one in pairs)
    return overall, trend, pairs


def _share(plan: Plan, first: str, second: str, ahead: int, answers: int, asked: Options) -> Comparison:
    request = plan.request
    pairs = len(_pairs(plan))
    return share_comparison(
        first,
        second,
        ahead,
        answers,
        measure=request.design,
        guessing=0.5,
        worthwhile=request.aim.preferred_share or 0.5,
        alpha=request.aim.alpha / pairs,
        power=request.aim.power,
        alternative=alternative_of(request) if request.design == "paired" else "two-sided",
        prior=asked.prior if asked.believe else None,
    )


def _pairs(plan: Plan) -> list[tuple[str, str]]:
    """Return the pairs of labels; a one-sided trial counts for the expected winner."""
    request = plan.request
    if request.design == "paired" and len(request.expected_order) == 2:
        return [(request.expected_order[0], request.expected_order[1])]
    return list(combinations(request.labels, 2))


def _measures(plan: Plan, answers: Answers, asked: Options) -> tuple[MeasureFindings, ...]:
    """Analyse every scale and time; the primary one stands alone, the others are corrected together."""
    request = plan.request
    if request.design in ("triangle", "duo-trio"):
        return ()
    known: list[tuple[str, Literal["points", "s"], Literal["high", "low"]]] = [
        *((scale.name, "points", scale.better) for scale in request.scales),
        *((name, "s", "low") for name in request.times),
    ]
    found = [
        one for name, unit, better in known if (one := _measure(plan, answers, name, unit, better, asked))
    ]
    others = [place for place, one in enumerate(found) if not one.primary]
    fixed = adjusted([found[place].family_p for place in others], request.control)
    by_place = dict(zip(others, fixed, strict=True))
    return tuple(
        one if one.primary else _with_family(one, by_place[place]) for place, one in enumerate(found)
    )


def _measure(
    plan: Plan,
    answers: Answers,
    name: str,
    unit: Literal["points", "s"],
    better: Literal["high", "low"],
    asked: Options,
) -> MeasureFindings | None:
    request, alpha = plan.request, plan.request.aim.alpha
    rows = [one for one in answers.measurements if one.name == name]
    pairs = list(combinations(request.labels, 2))
    primary = name == request.primary
    by_rider = riders_are_units(len({one.rider for one in rows}), alpha / len(pairs))
    table = _table(rows, by_rider, request.labels)
    if len(table) < 1:
        return None
    columns = {label: table[:, place] for place, label in enumerate(request.labels)}
    overall = friedman(ranked_within(table, better)) if len(request.labels) > 2 else None
    comparisons = [
        mean_comparison(
            first,
            second,
            [float(value) for value in columns[first] - columns[second]],
            measure=name,
            unit=unit,
            better=better,
            counted="riders" if by_rider else "blocks of runs",
            worthwhile=request.aim.difference if primary else None,
            alpha=alpha / len(pairs),
            power=request.aim.power,
            believe=asked.believe,
        )
        for first, second in pairs
    ]
    family = overall.p_value if overall else comparisons[0].p_value
    return MeasureFindings(
        name=name,
        unit=unit,
        better=better,
        primary=primary,
        means=tuple((label, float(columns[label].mean()), len(table)) for label in request.labels),
        overall=overall,
        comparisons=corrected(comparisons, alpha),
        model=order_model(
            [one.value for one in rows],
            [one.option for one in rows],
            [one.run for one in rows],
            [one.rider for one in rows],
            request.labels,
            1 - alpha,
        ),
        family_p=family,
        family_adjusted_p=family,
    )


def _table(rows: list[Measurement], by_rider: bool, labels: tuple[str, ...]) -> NDArray[np.float64]:
    """Return mean values, one row for each rider or block of runs that has every option, a column each."""
    cells: dict[tuple[str, int], dict[str, list[float]]] = {}
    for one in rows:
        group = (one.rider, 0 if by_rider else one.round)
        cells.setdefault(group, {}).setdefault(one.option, []).append(one.value)
    whole = [group for group in cells.values() if set(labels) <= set(group)]
    table = [[sum(group[label]) / len(group[label]) for label in labels] for group in whole]
    return np.array(table, dtype=np.float64).reshape(len(whole), len(labels))


def _with_family(one: MeasureFindings, p_value: float) -> MeasureFindings:
    return replace(one, family_adjusted_p=p_value)


def _who(plan: Plan, answers: Answers) -> tuple[tuple[str, int], ...]:
    """Return how many answers to the main question each rider gave."""
    if plan.request.design == "rated":
        blocks = {(one.rider, one.round) for one in answers.measurements if one.name == plan.request.primary}
        who = Counter(rider for rider, _ in blocks)
    else:
        who = Counter([one.rider for one in answers.choices] + [one.rider for one in answers.rankings])
    return tuple(sorted(who.items()))


def _warnings(
    plan: Plan, answers: Answers, who: tuple[tuple[str, int], ...], measures: tuple[MeasureFindings, ...]
) -> tuple[str, ...]:
    notes = []
    got, planned = sum(count for _, count in who), plan.size.answers
    if plan.request.design == "paired":
        planned *= len(_pairs(plan))
    if got == 0:
        notes.append("no answer to the main question counts: there is nothing to analyse")
    elif got < planned:
        notes.append(f"{got} of the {planned} planned answers count: the power is less than planned")
    if answers.left_out:
        notes.append(f"{len(answers.left_out)} answer(s) were left out by the rules of the plan")
    if answers.typed_by_leader:
        numbers = ", ".join(str(number) for number in sorted(answers.typed_by_leader))
        notes.append(f"typed in from paper by the leader, not by the rider: session {numbers}")
    for one in measures:
        if one.model is None:
            notes.append(f"{one.name}: too few runs for the model with run order and rider")
        else:
            notes += [f"{one.name}: {note}" for note in one.model.warnings]
    return tuple(notes)
