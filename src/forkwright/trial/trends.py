"""Whether answers drift while the trial goes on: learning, fatigue, or a favoured place in the order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from forkwright.trial.answers import Answers, Choice
from forkwright.trial.findings import MeasureFindings, Trend
from forkwright.trial.probability_words import p_words

_CONFIDENCE = 0.95


def choice_trends(answers: Answers) -> tuple[Trend, ...]:
    """Return the trends in forced choices: right answers early and late, and the favoured place.

    Source
    ------
    Early against late: Fisher's exact test of the two-by-two table. Place: exact binomial with an even
    chance, which holds since the orders are balanced (both by SciPy).
    """
    found = []
    known = [choice for choice in answers.choices if choice.right is not None]
    if len(known) >= 4 and len({choice.round for choice in known}) > 1:
        found.append(_early_and_late(known))
    two = [choice for choice in answers.choices if len(choice.options) == 2]
    if len(two) >= 4:
        found.append(_favoured_place(two))
    return tuple(found)


def measure_trend(measure: MeasureFindings) -> tuple[Trend, ...]:
    """Return the drift of a rating or time from run to run, from the model with option and rider."""
    trend = measure.model.trend if measure.model else None
    if trend is None:
        return ()
    drifts = trend.low > 0 or trend.high < 0
    per_run = f"{trend.value:+.3g} {measure.unit} per run"
    words = "changes as the riders go on" if drifts else "shows no sure change as the riders go on"
    return (
        Trend(
            what=measure.name,
            sentence=f"{measure.name} {words}: {per_run} ({trend.low:+.3g} to {trend.high:+.3g}).",
            value=trend.value,
            low=trend.low,
            high=trend.high,
            p_value=trend.p_value,
        ),
    )


def _early_and_late(known: Sequence[Choice]) -> Trend:
    from scipy.stats import fisher_exact

    rounds = [choice.round for choice in known]
    middle = (min(rounds) + max(rounds)) / 2
    early = [choice.right is True for choice in known if choice.round < middle]
    late = [choice.right is True for choice in known if choice.round > middle]

    table = np.array([[sum(early), len(early) - sum(early)], [sum(late), len(late) - sum(late)]])
    p_value = float(fisher_exact(table).pvalue)
    value = sum(late) / len(late) - sum(early) / len(early)
    words = "differ" if p_value <= 1 - _CONFIDENCE else "do not surely differ"
    sentence = (
        f"Right answers early ({sum(early)} of {len(early)}) and late ({sum(late)} of {len(late)}) {words} "
        f"({p_words(p_value)})."
    )
    return Trend("right answers", sentence, value, None, None, p_value)


def _favoured_place(two: Sequence[Choice]) -> Trend:
    from scipy.stats import binomtest

    first = sum(choice.place == 1 for choice in two)
    test = binomtest(first, len(two), 0.5)
    span = test.proportion_ci(_CONFIDENCE, method="exact")
    words = "is favoured" if first > len(two) / 2 else "is avoided"
    sure = (
        f"The first run of a pair {words}"
        if test.pvalue <= 1 - _CONFIDENCE
        else "No place is surely favoured"
    )
    sentence = f"{sure}: {first} of {len(two)} answers chose the first run ({p_words(test.pvalue)})."
    return Trend("place", sentence, first / len(two), float(span.low), float(span.high), float(test.pvalue))
