"""Ratings and times: which option comes out ahead, which blocks of runs count, what power is promised."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import ttest_1samp

from forkwright.trial import (
    MASK_CHECKS,
    SAFETY_CHECKS,
    Record,
    Trial,
    analyse_trial,
    close_records,
    make_plan,
    open_key,
    request_from_mapping,
)
from forkwright.trial.comparing import corrected, mean_comparison
from forkwright.trial.plan import Plan, Session
from forkwright.trial.power import rated_power

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
REQUEST: dict[str, Any] = {
    "format": 1,
    "name": "Spacers",
    "design": "rated",
    "question": "Which one grips better?",
    "riders": ["Ash", "Birch", "Cedar"],
    "leader": "Linden",
    "mechanic": "Maple",
    "aim": {"difference": 1.0, "run_spread": 0.7},
    "options": [{"label": "two"}, {"label": "three"}],
    "scales": [{"name": "grip", "low": "none", "high": "all", "points": 101}],
    "primary": "grip",
    "repeats": 4,
}


@pytest.mark.parametrize(("better", "ahead"), [("high", "a"), ("low", "c")])
def test_what_holm_finds_beyond_the_shared_risk_names_the_better_end(better: Any, ahead: str) -> None:
    """Of two times the shorter is the better one, also where only Holm's method finds the difference."""
    differences = {
        ("a", "b"): [5.0, 6, 7, 8, 9, 10, 11, 12],  # p = 2 / 256
        ("a", "c"): [-1.0, 1, 5, 6, 7, 8, 9, 10],  # p = 6 / 256: beyond 0.05 / 3, within Holm's 0.05 / 2
        ("b", "c"): [-3.0, 3, -2, 2, -4, 4, 1, -1],
    }
    family = [
        mean_comparison(
            first, second, values, measure="descent", unit="s", better=better, counted="riders",
            worthwhile=None, alpha=0.05 / 3, power=0.9,
        )
        for (first, second), values in differences.items()
    ]  # fmt: skip
    assert [one.finding for one in family] == ["difference", "cannot tell", "cannot tell"]
    found = corrected(family, 0.05, better)[1]
    assert found.finding == "difference"
    assert found.better == ahead


def test_a_block_with_a_run_missing_is_no_answer(tmp_path: Path) -> None:
    """The number of answers beside the p value is the number of blocks that the test counted."""
    trial = _planned(tmp_path, REQUEST)
    _ride(trial, {"two": 60, "three": 57}, unmasked=trial.plan.sessions[0].codes[0])
    analysis = _opened(trial)
    assert analysis.main[0].units == analysis.answers == 11
    assert "11 of the 12 planned answers count: the power is less than planned" in analysis.warnings


def test_riders_means_come_from_whole_blocks(tmp_path: Path) -> None:
    """A block that lacks an option does not pull the mean of the option that was ridden in it."""
    riders = ["Ash", "Birch", "Cedar", "Dogwood", "Elder", "Fir"]
    trial = _planned(tmp_path, REQUEST | {"riders": riders, "repeats": 2})
    broken = trial.plan.sessions[0]
    key = trial.sealed_key()
    lost = next(code for code in broken.codes if key.allocation[code] == "two")
    _ride(trial, {"two": 60, "three": 57}, unmasked=lost, odd={broken.number: 90})
    one = _opened(trial).main[0]
    assert (one.counted, one.units) == ("riders", 6)
    assert one.estimate == pytest.approx(3.0)


def test_only_a_paired_trial_is_tested_one_sided() -> None:
    """What the plan says of the test is what the analysis does, and asking for more is answered."""
    plan, _ = make_plan(
        request_from_mapping(REQUEST | {"alternative": "greater"}),
        admissible=lambda option: [],  # noqa: ARG005
        planned_at=NOON,
    )
    assert "sign-change test of the differences in grip, two-sided" in plan.rules[1]
    assert any("one-sided was asked for" in warning for warning in plan.warnings)


@pytest.mark.parametrize(
    ("riders", "repeats", "between"), [(3, 5, 1.0), (4, 4, 0.7), (2, 8, 0.5), (3, 6, 0.0)]
)
def test_the_power_of_few_riders_counts_how_much_they_differ(
    riders: int, repeats: int, between: float
) -> None:
    """Simulated trials find a difference as often as promised, whether riders feel alike or not."""
    generator = np.random.default_rng(31)
    trials, run = 20_000, 0.7
    true = 1.0 + between * generator.normal(size=(trials, riders, 1))
    blocks = true + generator.normal(0.0, run * 2**0.5, size=(trials, riders, repeats))
    found = float(np.mean(ttest_1samp(blocks.reshape(trials, -1), 0.0, axis=1).pvalue <= 0.05))
    # the stretched t distribution is an approximation where riders differ: two points are allowed for that
    slack = 4 * (found * (1 - found) / trials) ** 0.5 + (0.02 if between else 0.0)
    assert rated_power(1.0, run, between, riders, repeats, 0.05) == pytest.approx(found, abs=slack)


def _planned(folder: Path, request: dict[str, Any]) -> Trial:
    return Trial.planned(
        request_from_mapping(request),
        folder,
        admissible=lambda option: [],  # noqa: ARG005
        seed=8,
        salt=b"8" * 32,
        clock=lambda: NOON,
    )


def _ride(trial: Trial, level: dict[str, float], unmasked: str, odd: dict[int, float] | None = None) -> None:
    """Rate every run by its option, a little differently each session; `odd` sessions rate all runs alike."""
    plan: Plan = trial.plan
    allocation = trial.sealed_key().allocation

    def rated(session: Session, code: str) -> float:
        return (odd or {}).get(session.number, level[allocation[code]] + session.number % 3)

    records = []
    for session, code in plan.runs():
        checks = (*SAFETY_CHECKS, *(() if code == unmasked else MASK_CHECKS))
        for record in (
            {"id": f"r-{code}", "kind": "ready", "by": "Maple", "code": code, "checks": checks},
            {"id": f"g-{code}", "kind": "rating", "by": session.rider, "code": code,
             "values": {"grip": rated(session, code)}},
        ):  # fmt: skip
            records.append(Record.model_validate(record | {"at": NOON}))
    assert {one.status for one in trial.add(records)} == {"kept"}


def _opened(trial: Trial) -> Any:
    close_records(trial, "Linden", "done")
    open_key(trial, "Linden")
    return analyse_trial(trial)
