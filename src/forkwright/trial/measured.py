"""Ratings and times: every scale and time of a trial, its means, its pairs, and the model with run order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from forkwright.trial.answers import Answers, Measurement
from forkwright.trial.comparing import corrected, mean_comparison
from forkwright.trial.findings import Better, Comparison, MeasureFindings, Unit
from forkwright.trial.mixed import OrderModel, order_model
from forkwright.trial.plan import Plan
from forkwright.trial.power import riders_are_units
from forkwright.trial.ranks import friedman, ranked_within
from forkwright.trial.request import DIFFERENCE_DESIGNS, Request
from forkwright.trial.several import adjusted


def measure_findings(plan: Plan, answers: Answers, *, believe: bool) -> tuple[MeasureFindings, ...]:
    """Analyse every scale and time; the primary one stands alone, the others are corrected together.

    Parameters
    ----------
    plan : Plan
        With the scales, times and risks.
    answers : Answers
        What counts.
    believe : bool
        Add the belief from a flat start.
    """
    request = plan.request
    if request.design in DIFFERENCE_DESIGNS:
        return ()
    rows = [
        (one, [row for row in answers.measurements if row.name == one.name]) for one in _measures(request)
    ]
    found = [findings for one, own in rows if (findings := _findings(request, one, own, believe))]
    others = [place for place, one in enumerate(found) if not one.primary]
    fixed = adjusted([found[place].family_p for place in others], request.control)
    for place, p_value in zip(others, fixed, strict=True):
        found[place] = replace(found[place], family_adjusted_p=p_value)
    return tuple(found)


@dataclass(frozen=True)
class _Measure:
    """One scale or time: its name, its unit, and which end is better."""

    name: str
    unit: Unit
    better: Better


def _measures(request: Request) -> list[_Measure]:
    scales = [_Measure(scale.name, "points", scale.better) for scale in request.scales]
    return scales + [_Measure(name, "s", "low") for name in request.times]


def _findings(
    request: Request, measure: _Measure, rows: Sequence[Measurement], believe: bool
) -> MeasureFindings | None:
    """Analyse one measure; None where no rider or block of runs has a value for every option."""
    labels, alpha = request.labels, request.aim.alpha
    pairs = len(labels) * (len(labels) - 1) // 2
    by_rider = riders_are_units(len({one.rider for one in rows}), alpha / pairs)
    table = _table(rows, by_rider, labels)
    if len(table) < 1:
        return None
    overall = friedman(ranked_within(table, measure.better)) if len(labels) > 2 else None
    comparisons = _pairs(request, measure, table, by_rider, believe)
    family = overall.p_value if overall else comparisons[0].p_value
    return MeasureFindings(
        name=measure.name,
        unit=measure.unit,
        better=measure.better,
        primary=measure.name == request.primary,
        means=tuple((label, float(table[:, at].mean()), len(table)) for at, label in enumerate(labels)),
        overall=overall,
        comparisons=comparisons,
        model=_model(rows, labels, 1 - alpha),
        family_p=family,
        family_adjusted_p=family,
    )


def _table(rows: Sequence[Measurement], by_rider: bool, labels: tuple[str, ...]) -> NDArray[np.float64]:
    """Return mean values, a column for each option, a row for each block of runs or each rider.

    Only blocks that have every option count, as the plan's rules say, so no option is seen on other days or
    later in the trial than the rest.
    """
    blocks: dict[tuple[str, int], dict[str, list[float]]] = {}
    for one in rows:
        blocks.setdefault((one.rider, one.round), {}).setdefault(one.option, []).append(one.value)
    units: dict[tuple[str, int], dict[str, list[float]]] = {}
    for (rider, turn), block in blocks.items():
        if set(labels) <= set(block):
            unit = units.setdefault((rider, 0 if by_rider else turn), {})
            for label in labels:
                unit.setdefault(label, []).extend(block[label])
    table = [[sum(unit[label]) / len(unit[label]) for label in labels] for unit in units.values()]
    return np.array(table, dtype=np.float64).reshape(len(units), len(labels))


def _pairs(
    request: Request, measure: _Measure, table: NDArray[np.float64], by_rider: bool, believe: bool
) -> tuple[Comparison, ...]:
    """Compare each pair of options, together held against the one risk."""
    pairs = list(combinations(range(len(request.labels)), 2))
    found = [
        mean_comparison(
            request.labels[first],
            request.labels[second],
            [float(value) for value in table[:, first] - table[:, second]],
            measure=measure.name,
            unit=measure.unit,
            better=measure.better,
            counted="riders" if by_rider else "blocks of runs",
            worthwhile=request.aim.difference if measure.name == request.primary else None,
            alpha=request.aim.alpha / len(pairs),
            power=request.aim.power,
            believe=believe,
        )
        for first, second in pairs
    ]
    return corrected(found, request.aim.alpha, measure.better)


def _model(rows: Sequence[Measurement], labels: tuple[str, ...], confidence: float) -> OrderModel | None:
    return order_model(
        [one.value for one in rows],
        [one.option for one in rows],
        [one.run for one in rows],
        [one.rider for one in rows],
        labels,
        confidence,
    )
