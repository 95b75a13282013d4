"""From records to verdict: what counts, what each design says, and "cannot tell"."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from statsmodels.stats.multitest import multipletests

from forkwright.trial import (
    MASK_CHECKS,
    SAFETY_CHECKS,
    Analysis,
    Options,
    Record,
    Trial,
    analyse_trial,
    close_records,
    open_key,
    report_content,
    report_page,
    request_from_mapping,
)
from forkwright.trial.plan import Session
from forkwright.units import InputError

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
Answer = Callable[[Session, list[str]], dict[str, Any]]


def planned(folder: Path, design: str, labels: str = "two three", **more: Any) -> Trial:
    """A trial with three riders; `more` goes into the request."""
    aim = {
        "paired": {"preferred_share": 0.8},
        "triangle": {"discriminators": 0.5},
        "duo-trio": {"discriminators": 0.5},
        "ranked": {"preferred_share": 0.8},
        "rated": {"difference": 1.0, "run_spread": 0.7},
    }[design]
    request = {
        "format": 1,
        "name": "Spacers",
        "design": design,
        "question": "Which one would you rather race on?",
        "riders": ["Ash", "Birch", "Cedar"],
        "leader": "Linden",
        "mechanic": "Maple",
        "aim": aim,
        "options": [{"label": label} for label in labels.split()],
    }
    return Trial.planned(
        request_from_mapping(request | more),
        folder,
        admissible=lambda option: [],  # noqa: ARG005
        seed=8,
        salt=b"8" * 32,
        clock=lambda: NOON,
    )


def recorded(trial: Trial, answer: Answer, unmasked: tuple[str, ...] = ()) -> None:
    """Ride the whole trial: `answer` sees the session and the options behind its codes."""
    key = trial.sealed_key()
    records = []
    for session in trial.plan.sessions:
        for code in session.codes:
            checks = (*SAFETY_CHECKS, *(() if code in unmasked else MASK_CHECKS))
            records.append(_record(f"ready-{code}", "ready", "Maple", code=code, checks=checks))
        given = answer(session, [key.allocation[code] for code in session.codes])
        kind = given.pop("kind")
        if kind == "rating":
            records += [
                _record(f"rating-{code}", kind, session.rider, code=code, values={"grip": value})
                for code, value in zip(session.codes, given["values"], strict=True)
            ]
        else:
            records.append(
                _record(f"a-{session.number}", kind, session.rider, session=session.number, **given)
            )
    receipts = trial.add(records)
    assert {one.status for one in receipts} == {"kept"}, receipts


def _record(record_id: str, kind: str, by: str, **more: Any) -> Record:
    return Record.model_validate({"id": record_id, "kind": kind, "at": NOON, "by": by, **more})


def opened(trial: Trial, options: Options | None = None) -> Analysis:
    close_records(trial, "Linden", "done")
    open_key(trial, "Linden")
    return analyse_trial(trial, options)


def choosing(label: str) -> Answer:
    """Answer with the run of `label`, wherever it stands."""

    def answer(session: Session, options: list[str]) -> dict[str, Any]:
        place = options.index(label) if label in options else 0
        return {"kind": "choice", "choice": session.codes[place]}

    return answer


def test_a_clear_preference_is_found(tmp_path: Path) -> None:
    """Everybody prefers one option: it is named, with its count and exact p value."""
    trial = planned(tmp_path, "paired")
    recorded(trial, choosing("two"))
    analysis = opened(trial)
    count = trial.plan.size.answers
    assert analysis.finding == "difference"
    assert analysis.main[0].better == "two"
    assert analysis.main[0].p_value == pytest.approx(2 * 0.5**count)
    assert f"{count} of {count} answers" in analysis.verdict
    assert "not n assessors" in analysis.beside_p


def test_half_and_half_rules_a_worthwhile_difference_out(tmp_path: Path) -> None:
    """With the planned answers split evenly, the difference worth finding is ruled out, and so it is said."""
    trial = planned(tmp_path, "paired")
    recorded(trial, lambda session, _: {"kind": "choice", "choice": session.codes[session.number % 2]})
    analysis = opened(trial)
    assert analysis.finding == "no worthwhile difference"
    assert analysis.verdict.startswith("No difference worth finding.")


def test_too_few_answers_cannot_tell_and_say_how_many_more(tmp_path: Path) -> None:
    """Six even answers decide nothing: the verdict says so and names the number that would."""
    trial = planned(tmp_path, "paired", repeats=2)
    recorded(trial, lambda session, _: {"kind": "choice", "choice": session.codes[session.number % 2]})
    analysis = opened(trial)
    assert analysis.finding == "cannot tell"
    # 28 answers give power 0.9 at a share of 0.8 and risk 0.05, two-sided (exact binomial)
    assert analysis.main[0].more == 28 - 6
    assert analysis.verdict.startswith("Cannot tell; 22 more answers (44 runs) would find")
    assert any("looked at twice" in line for line in analysis.explanation)


def test_a_triangle_counts_right_answers(tmp_path: Path) -> None:
    """The odd run is the one whose option stands alone; finding it every time is a difference."""
    trial = planned(tmp_path, "triangle")

    def odd(session: Session, options: list[str]) -> dict[str, Any]:
        place = next(place for place, label in enumerate(options) if options.count(label) == 1)
        return {"kind": "choice", "choice": session.codes[place]}

    recorded(trial, odd)
    analysis = opened(trial, Options(believe=True))
    assert analysis.main[0].estimate == 1.0
    assert analysis.main[0].effect == 1.0
    assert analysis.main[0].better == ""
    assert "could tell two from three" in analysis.verdict
    assert analysis.main[0].belief_worthwhile is not None
    assert analysis.main[0].belief_worthwhile > 0.95
    assert any("not which of them is better" in line for line in analysis.explanation)


def test_a_duo_trio_takes_the_run_like_the_reference(tmp_path: Path) -> None:
    """The right answer is the later run with the reference's option; always the other is no difference."""
    trial = planned(tmp_path, "duo-trio")

    def wrong(session: Session, options: list[str]) -> dict[str, Any]:
        place = 1 if options[1] != options[0] else 2
        return {"kind": "choice", "choice": session.codes[place]}

    recorded(trial, wrong)
    analysis = opened(trial)
    assert analysis.main[0].estimate == 0.0
    assert analysis.main[0].p_value == pytest.approx(1.0)
    assert analysis.finding == "no worthwhile difference"


def test_rankings_name_the_winner_and_the_expected_order(tmp_path: Path) -> None:
    """Unanimous rankings: Friedman, Page and the pairs agree, with Holm's correction."""
    trial = planned(tmp_path, "ranked", "two three four", expected_order=["two", "three", "four"])

    def in_order(session: Session, options: list[str]) -> dict[str, Any]:
        by_label = dict(zip(options, session.codes, strict=True))
        return {"kind": "ranking", "ranking": [by_label[label] for label in ("two", "three", "four")]}

    recorded(trial, in_order)
    analysis = opened(trial)
    assert analysis.overall is not None
    assert analysis.overall.agreement == pytest.approx(1.0)
    assert analysis.expected_order is not None
    assert analysis.expected_order.p_value < 0.001
    assert [one.better for one in analysis.main] == ["two", "two", "three"]
    holm = multipletests([one.p_value for one in analysis.main], method="holm")[1]
    assert [one.adjusted_p for one in analysis.main] == pytest.approx(list(holm))
    assert any(one.adjusted_p > one.p_value for one in analysis.main)


def test_pairs_do_not_count_when_the_overall_test_finds_nothing(tmp_path: Path) -> None:
    """One pair that always comes in the same order proves nothing while the rankings as a whole are noise."""
    labels = "a b c d e f"
    day = {"runs_per_rider": 12, "minutes": 900}
    trial = planned(tmp_path, "ranked", labels, repeats=5, day=day)

    def a_before_b(session: Session, options: list[str]) -> dict[str, Any]:
        turn = session.number % 4
        others = ["cdef"[(place + turn) % 4] for place in range(4)]
        wanted = [*others[: session.number % 5], "a", "b", *others[session.number % 5 :]]
        by_label = dict(zip(options, session.codes, strict=True))
        return {"kind": "ranking", "ranking": [by_label[label] for label in wanted]}

    recorded(trial, a_before_b)
    analysis = opened(trial)
    pair = next(one for one in analysis.main if (one.first, one.second) == ("a", "b"))
    assert analysis.overall is not None
    assert analysis.overall.p_value > 0.05
    assert pair.adjusted_p < 0.05
    assert pair.finding == "cannot tell"
    assert analysis.finding != "difference"


def test_ratings_give_the_difference_in_points(tmp_path: Path) -> None:
    """A steady point and a half between two options is found, with its size and the model's estimate."""
    scale = {"name": "grip", "low": "none", "high": "all", "points": 101}
    trial = planned(tmp_path, "rated", primary="grip", scales=[scale], repeats=4)

    def rate(session: Session, options: list[str]) -> dict[str, Any]:
        level = {"two": 60, "three": 57}
        return {"kind": "rating", "values": [level[label] + session.number % 3 for label in options]}

    recorded(trial, rate)
    analysis = opened(trial)
    assert analysis.main[0].estimate == pytest.approx(3.0)
    assert analysis.main[0].p_value == pytest.approx(2 / 2**12)
    assert analysis.main[0].counted == "blocks of runs"
    assert analysis.verdict.startswith("two was better than three in grip by 3 points")
    assert analysis.measures[0].model is not None
    assert analysis.measures[0].model.options[0].value == pytest.approx(-3.0, abs=0.3)
    assert analysis.trends[-1].what == "grip"


def test_a_run_without_masks_does_not_count(tmp_path: Path) -> None:
    """The answer of a session with an unmasked run is left out by name, and the report counts it."""
    trial = planned(tmp_path, "paired", repeats=4)
    recorded(trial, choosing("two"), unmasked=(trial.plan.sessions[0].codes[1],))
    analysis = opened(trial)
    assert analysis.answers == 11
    unmasked = trial.plan.sessions[0].codes[1]
    assert analysis.left_out == (("a-1", f"no ready check with every mask ticked for {unmasked}"),)
    assert any("left out" in warning for warning in analysis.warnings)


def test_answers_after_breaking_the_blind_do_not_count(tmp_path: Path) -> None:
    """What came in before counts, what came after does not, corrections of the former included."""
    trial = planned(tmp_path, "paired", repeats=4)
    recorded(trial, choosing("two"))
    at_half_past = Trial(trial.folder, clock=lambda: NOON + timedelta(minutes=30))
    open_key(at_half_past, "Ash", break_blind=True, reason="crash")
    later = Trial(trial.folder, clock=lambda: NOON + timedelta(hours=1))
    session = trial.plan.sessions[0]
    wrong = next(code for code in session.codes if trial.sealed_key().allocation[code] == "three")
    later.add([_record("late", "choice", session.rider, session=1, choice=wrong, replaces="a-1")])
    analysis = opened(later)
    assert analysis.answers == 12
    assert analysis.main[0].estimate == 1.0
    assert any("blind was broken" in warning for warning in analysis.warnings)
    assert "late" in dict(analysis.left_out)


def test_an_answer_given_twice_counts_once(tmp_path: Path) -> None:
    """A second answer to the same session, under another id, is left out."""
    trial = planned(tmp_path, "paired", repeats=4)
    recorded(trial, choosing("two"))
    session = trial.plan.sessions[0]
    trial.add([_record("again", "choice", session.rider, session=1, choice=session.codes[0])])
    analysis = opened(trial)
    assert analysis.answers == 12
    assert analysis.left_out == (("again", "answered twice; the first answer counts"),)


def test_no_answers_at_all_is_said_plainly(tmp_path: Path) -> None:
    """An empty trial ends in words, in every design."""
    scale = {"name": "grip", "low": "none", "high": "all"}
    for design in ("paired", "triangle", "duo-trio", "ranked", "rated"):
        more = {"primary": "grip", "scales": [scale]} if design == "rated" else {}
        trial = planned(tmp_path / design, design, repeats=2, **more)
        analysis = opened(trial)
        assert analysis.verdict == "Cannot tell: no answer to the main question counts."
        assert analysis.beside_p == "No answers."


def test_a_closed_trial_is_not_analysed(tmp_path: Path) -> None:
    """No peeking: neither a running nor a closed trial gives its result."""
    trial = planned(tmp_path, "paired", repeats=1)
    with pytest.raises(InputError, match="close and open it first"):
        analyse_trial(trial)
    close_records(trial, "Linden", "done")
    with pytest.raises(InputError, match="close and open it first"):
        report_content(trial)


def test_the_report_holds_what_was_promised_and_escapes_what_was_written(tmp_path: Path) -> None:
    """Plan, commitment, raw data, verdict and remarks stand in the page, and no text becomes markup."""
    trial = planned(tmp_path, "paired", repeats=4)
    recorded(trial, choosing("two"))
    trial.add([_record("m", "remark", "Ash", text="<script>alert(1)</script> früh hart")])
    analysis = opened(trial)
    page = report_page(report_content(trial))
    for expected in (trial.plan.commitment, analysis.verdict, str(trial.plan.seed), "früh hart"):
        assert expected in page
    assert "<script>" not in page
    assert page.count("= two") == page.count("= three") == 12


def test_the_learning_trend_sees_a_favoured_place(tmp_path: Path) -> None:
    """Riders who always take the first run are shown to do so."""
    trial = planned(tmp_path, "paired", repeats=6)
    recorded(trial, lambda session, _: {"kind": "choice", "choice": session.codes[0]})
    analysis = opened(trial)
    assert analysis.trends[0].value == 1.0
    assert analysis.trends[0].sentence.startswith("The first run of a pair is favoured")
    assert analysis.finding != "difference"


def test_a_tiny_p_value_is_never_printed_as_nought(tmp_path: Path) -> None:
    """Every sentence of analysis and report says "p < 0.001" where p is smaller, in each design."""
    for design, answer in (
        ("paired", lambda session, _: {"kind": "choice", "choice": session.codes[0]}),
        ("paired", choosing("two")),
        ("triangle", lambda session, options: {"kind": "choice", "choice": odd_one(session, options)}),
        ("ranked", ranking("two", "three", "one")),
        (
            "rated",
            lambda _, options: {"kind": "rating", "values": [8 if one == "two" else 2 for one in options]},
        ),
    ):
        more: dict[str, Any] = {"repeats": 12}
        if design == "rated":
            more |= {"scales": [{"name": "grip", "low": "none", "high": "all"}], "primary": "grip"}
        if design == "ranked":
            more |= {"expected_order": ["two", "three", "one"]}
        labels = "two three one" if design == "ranked" else "two three"
        trial = planned(tmp_path / f"{design}-{len(list(tmp_path.iterdir()))}", design, labels, **more)
        recorded(trial, answer)
        analysis = opened(trial, Options(believe=True))
        told = " ".join([analysis.verdict, *analysis.explanation, *(one.sentence for one in analysis.trends)])
        assert "p < 0.001" in told, design
        assert not re.search(r"p = 0\.0*(?!\d)", told), told
        page = report_page(report_content(trial))
        assert "p &lt; 0.001" in page
        assert not re.search(r"p = 0\.0*(?!\d)", page), page


def test_differences_without_any_spread_have_no_interval_and_no_effect(tmp_path: Path) -> None:
    """Ratings that differ by the same every time: the difference is told, an effect of nought is not."""
    scales = [{"name": "grip", "low": "none", "high": "all"}]
    trial = planned(tmp_path, "rated", scales=scales, primary="grip", repeats=8)
    values = {"two": 8, "three": 6}
    recorded(trial, lambda _, options: {"kind": "rating", "values": [values[one] for one in options]})
    analysis = opened(trial)
    assert analysis.main[0].effect is None
    told = " ".join([analysis.verdict, *analysis.explanation])
    assert "every difference seen is the same" in told
    assert "Effect 0.00" not in told
    assert "2 to 2" not in told


def odd_one(session: Session, options: list[str]) -> str:
    """Return the code of the option that stands once in a triangle."""
    return next(code for code, one in zip(session.codes, options, strict=True) if options.count(one) == 1)


def ranking(*order: str) -> Answer:
    """Rank the options in one order every time."""
    return lambda session, options: {
        "kind": "ranking",
        "ranking": [session.codes[options.index(label)] for label in order],
    }


def test_what_the_leader_typed_from_paper_is_marked(tmp_path: Path) -> None:
    """An answer in the leader's name counts as the rider's; warnings and report say who typed it."""
    trial = planned(tmp_path, "paired", repeats=2)
    recorded(trial, choosing("two"))
    key, session = trial.sealed_key(), trial.plan.sessions[2]
    other = next(code for code in session.codes if key.allocation[code] == "three")
    typed = _record(
        "t", "choice", "Linden", session=3, choice=other, text="typed in from paper", replaces="a-3"
    )
    assert trial.add([typed])[0].status == "kept"
    analysis = opened(trial)
    assert analysis.main[0].estimate == pytest.approx(5 / 6)
    assert "typed in from paper by the leader, not by the rider: session 3" in analysis.warnings
    content = report_content(trial)
    assert [one["typed_by_leader"] for one in content["raw"]["sessions"]] == [n == 3 for n in range(1, 7)]
    page = report_page(content)
    assert f"<td>{session.rider} *</td>" in page
    assert "* = typed in from paper by the leader, Linden" in page


def test_a_leader_who_rides_types_nothing_from_paper(tmp_path: Path) -> None:
    """Where the leader is one of the riders, own answers are a rider's."""
    trial = planned(tmp_path, "paired", repeats=2, leader="Ash")
    recorded(trial, choosing("two"))
    close_records(trial, "Ash", "done")
    open_key(trial, "Ash")
    assert not [note for note in analyse_trial(trial).warnings if "paper" in note]


def test_findings_are_plain_data(tmp_path: Path) -> None:
    """A comparison may be copied with another value, and never changed in place."""
    trial = planned(tmp_path, "paired", repeats=4)
    recorded(trial, choosing("two"))
    one = opened(trial).main[0]
    assert replace(one, adjusted_p=1.0).adjusted_p == 1.0
    with pytest.raises(AttributeError):
        one.adjusted_p = 1.0  # type: ignore[misc]
