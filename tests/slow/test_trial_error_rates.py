"""Ten thousand simulated trials each: false findings stay below the risk, power is what the plan promised.

Allowed differences are four standard errors of the simulated share.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from forkwright.trial import Answers, Plan, analyse, make_plan, request_from_mapping
from forkwright.trial.answers import Choice, Ranking
from forkwright.trial.comparing import corrected, mean_comparison
from forkwright.trial.power import rated_power

pytestmark = pytest.mark.slow
TRIALS = 10_000
BASE: dict[str, Any] = {
    "format": 1,
    "name": "Simulated",
    "question": "Which one would you rather race on?",
    "riders": ["Ash", "Birch", "Cedar"],
    "leader": "Linden",
    "mechanic": "Maple",
    "options": [{"label": "two"}, {"label": "three"}],
}
PAIRED = BASE | {"design": "paired", "aim": {"preferred_share": 0.8}}
TRIANGLE = BASE | {"design": "triangle", "aim": {"discriminators": 0.4}}


def planned(request: dict[str, Any]) -> Plan:
    plan, _ = make_plan(
        request_from_mapping(request),
        admissible=lambda option: [],  # noqa: ARG005
        planned_at=datetime(2026, 5, 4, tzinfo=UTC),
        seed=1,
        salt=bytes(32),
    )
    return plan


def share_found(plan: Plan, answers: Callable[[np.random.Generator], Answers], trials: int = TRIALS) -> float:
    """The share of simulated trials whose verdict is a difference."""
    generator = np.random.default_rng(20)
    return float(np.mean([analyse(plan, answers(generator)).finding == "difference" for _ in range(trials)]))


def slack(share: float, trials: int = TRIALS) -> float:
    return 4 * (share * (1 - share) / trials) ** 0.5


def choices(plan: Plan, share: float) -> Callable[[np.random.Generator], Answers]:
    """Answers of a triangle test, right with a probability; or of pairs, each preferring the first named."""
    triangle = plan.request.design == "triangle"
    sessions = list(plan.sessions)
    labels = plan.request.labels
    pairs = [(a, b) for place, a in enumerate(labels) for b in labels[place + 1 :]]

    def draw(generator: np.random.Generator) -> Answers:
        hits = generator.random(len(sessions)) < share
        rows = []
        for place, (session, hit) in enumerate(zip(sessions, hits, strict=True)):
            pair = ("two", "three") if triangle else pairs[place % len(pairs)]
            chosen = pair[0] if hit else pair[1]
            options = (*pair, pair[1]) if triangle else pair
            right = bool(hit) if triangle else None
            rows.append(Choice(session.rider, session.number, session.round, options, chosen, 1, right))
        return Answers(choices=tuple(rows))

    return draw


@pytest.mark.parametrize(("request_", "null"), [(PAIRED, 0.5), (TRIANGLE, 1 / 3)])
def test_false_findings_stay_below_the_risk(request_: dict[str, Any], null: float) -> None:
    """When there is nothing to tell, at most one trial in twenty finds something."""
    plan = planned(request_)
    assert share_found(plan, choices(plan, null)) <= 0.05 + slack(0.05)


@pytest.mark.parametrize(("request_", "true"), [(PAIRED, 0.8), (TRIANGLE, 0.4 + 0.6 / 3)])
def test_power_is_as_planned(request_: dict[str, Any], true: float) -> None:
    """At the difference worth finding, as many trials find it as the plan says."""
    plan = planned(request_)
    found = share_found(plan, choices(plan, true))
    assert abs(found - plan.size.power) <= slack(plan.size.power)
    assert plan.size.power >= plan.request.aim.power


def test_three_options_in_pairs_keep_the_family_risk() -> None:
    """Three pairs tested together: at most one trial in twenty finds any difference where there is none."""
    options = [{"label": label} for label in ("two", "three", "four")]
    plan = planned(PAIRED | {"options": options, "repeats": 8})
    assert share_found(plan, choices(plan, 0.5)) <= 0.05 + slack(0.05)


def test_rankings_keep_the_risk_and_the_power() -> None:
    """Friedman's test with the pairs behind it: the risk holds, and the planned power is met."""
    options = [{"label": label} for label in ("two", "three", "four")]
    plan = planned(BASE | {"design": "ranked", "aim": {"preferred_share": 0.8}, "options": options})
    labels = np.array(plan.request.labels)

    def rankings(ahead: float) -> Callable[[np.random.Generator], Answers]:
        def draw(generator: np.random.Generator) -> Answers:
            feelings = generator.normal(size=(plan.size.answers, 3))
            feelings[:, 0] -= ahead
            orders = feelings.argsort(axis=1)
            return Answers(
                rankings=tuple(
                    Ranking(session.rider, session.number, tuple(labels[order]))
                    for session, order in zip(plan.sessions, orders, strict=True)
                )
            )

        return draw

    trials = 4000
    assert share_found(plan, rankings(0.0), trials) <= 0.05 + slack(0.05, trials)
    found = share_found(plan, rankings(2**0.5 * float(norm.ppf(0.8))), trials)
    # the planned power is itself simulated, with 1000 trials
    assert abs(found - plan.size.power) <= slack(plan.size.power, trials) + slack(plan.size.power, 1000)


@pytest.mark.parametrize("options", [2, 3])
def test_ratings_keep_the_family_risk_whatever_the_distribution(options: int) -> None:
    """Sign-change tests with Holm's correction keep the risk for skewed errors too."""
    generator = np.random.default_rng(21)
    found = 0
    pairs = [(a, b) for a in range(options) for b in range(a + 1, options)]
    for _ in range(TRIALS):
        values = generator.exponential(size=(9, options))
        family = [
            _compared(values[:, first] - values[:, second], 0.05 / len(pairs)) for first, second in pairs
        ]
        found += any(one.finding == "difference" for one in corrected(family, 0.05))
    assert found / TRIALS <= 0.05 + slack(0.05)


@pytest.mark.parametrize(
    ("riders", "repeats", "between"), [(3, 5, 0.0), (9, 2, 0.0), (3, 4, 0.8), (9, 2, 0.8)]
)
def test_power_of_ratings_is_as_planned(riders: int, repeats: int, between: float) -> None:
    """The exact sign-change test finds a difference about as often as the planned t test."""
    generator = np.random.default_rng(22)
    promised = rated_power(1.0, 0.9, between, riders, repeats, 0.05)
    true = generator.normal(1.0, between, size=(TRIALS, riders, 1))
    blocks = true + generator.normal(0.0, 0.9 * 2**0.5, size=(TRIALS, riders, repeats))
    units = blocks.mean(axis=2) if riders >= 6 else blocks.reshape(TRIALS, -1)
    found = np.mean([_compared(row, 0.05).finding == "difference" for row in units])
    # the two tests differ a little for so few units: three points of power are allowed for that
    assert abs(float(found) - promised) <= 0.03 + slack(promised)


def _compared(differences: np.ndarray, alpha: float) -> Any:
    return mean_comparison(
        "two",
        "three",
        [float(value) for value in differences],
        measure="grip",
        unit="points",
        better="high",
        counted="riders",
        worthwhile=None,
        alpha=alpha,
        power=0.9,
    )
