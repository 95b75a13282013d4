"""From the answers that count to a verdict: which test answers which design."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from forkwright.trial.answers import Answers, counted
from forkwright.trial.comparing import corrected, share_comparison, undecided
from forkwright.trial.findings import Analysis, Comparison, MeasureFindings
from forkwright.trial.folder import Trial
from forkwright.trial.forced_choice import GUESSING
from forkwright.trial.measured import measure_findings
from forkwright.trial.plan import Plan
from forkwright.trial.ranks import RankTest, friedman, page
from forkwright.trial.request import DIFFERENCE_DESIGNS
from forkwright.trial.sizing import alternative_of, true_share
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
    measures = measure_findings(plan, answers, believe=asked.believe)
    if design in DIFFERENCE_DESIGNS:
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
        alternative=alternative_of(request),
        prior=asked.prior if asked.believe else None,
    )


def _pairs(plan: Plan) -> list[tuple[str, str]]:
    """Return the pairs of labels; a one-sided trial counts for the expected winner."""
    request = plan.request
    if request.design == "paired" and len(request.expected_order) == 2:
        return [(request.expected_order[0], request.expected_order[1])]
    return list(combinations(request.labels, 2))


def _who(plan: Plan, answers: Answers) -> tuple[tuple[str, int], ...]:
    """Return how many answers to the main question each rider gave.

    In a rated trial an answer is a block of runs with a value for every option.
    """
    request = plan.request
    if request.design == "rated":
        blocks: dict[tuple[str, int], set[str]] = {}
        for one in answers.measurements:
            if one.name == request.primary:
                blocks.setdefault((one.rider, one.round), set()).add(one.option)
        who = Counter(rider for (rider, _), options in blocks.items() if options == set(request.labels))
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
