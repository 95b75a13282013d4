"""A trial in its folder: nothing is lost, nothing is shown too early, nothing changes unseen."""

from __future__ import annotations

import base64
import json
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from tests.trial_samples import PAIRED

from forkwright.trial import (
    MASK_CHECKS,
    SAFETY_CHECKS,
    Option,
    Record,
    Trial,
    close_records,
    leader_view,
    next_card,
    open_key,
    request_from_mapping,
    rider_view,
)
from forkwright.trial.seal import commitment
from forkwright.units import InputError

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def anything(option: Option) -> list[str]:  # noqa: ARG001 - the callback's signature
    """Let every setting through."""
    return []


@pytest.fixture
def trial(tmp_path: Path) -> Trial:
    return Trial.planned(
        request_from_mapping(PAIRED), tmp_path / "trial", admissible=anything, seed=3, clock=lambda: NOON
    )


def record(number: int, kind: str, by: str, **more: Any) -> Record:
    return Record.model_validate({"id": f"r{number}", "kind": kind, "at": NOON, "by": by, **more})


def ready(number: int, code: str) -> Record:
    return record(number, "ready", "Maple", code=code, checks=(*SAFETY_CHECKS, *MASK_CHECKS))


def ridden(trial: Trial) -> list[Record]:
    """Everything a whole trial records: ready checks, and every rider choosing the first run."""
    records, number = [], 100
    for session in trial.plan.sessions:
        for code in session.codes:
            records.append(ready(number := number + 1, code))
        number += 1
        records.append(
            record(number, "choice", session.rider, session=session.number, choice=session.codes[0])
        )
    return records


def test_sending_twice_keeps_once(trial: Trial) -> None:
    """A phone may send its records again after a lost answer: nothing changes on disk."""
    records = ridden(trial)
    assert {one.status for one in trial.add(records)} == {"kept"}
    before = (trial.folder / "records.jsonl").read_bytes()
    assert {one.status for one in trial.add(records)} == {"already kept"}
    assert (trial.folder / "records.jsonl").read_bytes() == before


def test_one_id_with_two_contents_is_set_aside(trial: Trial) -> None:
    """A second record with a used id never overwrites the first, and is not lost either."""
    first = record(1, "remark", "Ash", text="harsh")
    second = record(1, "remark", "Ash", text="soft")
    trial.add([first])
    assert trial.add([second])[0].status == "set aside"
    assert [one.text for one in trial.records()] == ["harsh"]
    assert trial.set_aside()[0]["record"]["text"] == "soft"
    trial.add([second])
    assert len(trial.set_aside()) == 1


@pytest.mark.parametrize("lost", range(1, 60, 7))
def test_a_power_cut_in_the_last_line_loses_nothing_else(trial: Trial, lost: int) -> None:
    """Records before a torn line stand, the torn one is kept aside, and sending it again keeps it."""
    first, second = record(1, "remark", "Ash", text="harsh"), record(2, "remark", "Ash", text="on roots")
    trial.add([first])
    trial.add([second])
    path = trial.folder / "records.jsonl"
    path.write_bytes(path.read_bytes()[:-lost])
    assert [one.id for one in trial.records()] == ["r1"]
    assert trial.add([first, second])[1].status == "kept"
    assert [one.id for one in trial.records()] == ["r1", "r2"]
    assert trial.set_aside()[0]["why"] == "unfinished line of records.jsonl"
    assert trial.tampering() == ()


def test_many_phones_at_once_lose_nothing(trial: Trial) -> None:
    """Eight senders at the same moment: every record is there once, and the chain holds."""

    def send(sender: int) -> None:
        for number in range(5):
            Trial(trial.folder).add([record(1000 * sender + number, "remark", "Ash", text="x")])

    threads = [threading.Thread(target=send, args=(sender,)) for sender in range(1, 9)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({one.id for one in trial.records()}) == len(trial.records()) == 40
    assert trial.tampering() == ()


def test_a_correction_replaces_and_both_stay(trial: Trial) -> None:
    """A rider may correct a rating: the correction stands, the first entry stays on disk."""
    code = next(session.codes[0] for session in trial.plan.sessions if session.rider == "Ash")
    trial.add([record(1, "rating", "Ash", code=code, values={"grip": 4})])
    receipt = trial.add([record(2, "rating", "Ash", code=code, values={"grip": 6}, replaces="r1")])
    assert receipt[0].status == "kept"
    assert [one.values for one in trial.records()] == [{"grip": 6}]
    assert len(trial.kept()) == 2
    assert trial.add([record(3, "remark", "Ash", text="x", replaces="r1")])[0].status == "set aside"


def test_nothing_public_tells_a_setting_or_the_key(trial: Trial) -> None:
    """Plan, views, log and the sealed file read as text show no setting, and no code beside a label."""
    trial.add([record(1, "warm_up", "Ash", rider="Ash"), record(2, "warm_up", "Birch", rider="Birch")])
    next_card(trial, "Maple", anything)
    trial.add(ridden(trial))
    public = [path.read_text(encoding="utf-8") for path in trial.folder.iterdir() if path.name != "lock"]
    public += [json.dumps(leader_view(trial)), json.dumps(rider_view(trial, "Ash"))]
    for text in public:
        assert "85 psi" not in text
        assert "81 psi" not in text
        assert "allocation" not in text
    rider = json.dumps(rider_view(trial, "Ash"))
    assert '"two"' not in rider
    assert '"three"' not in rider
    birch = [code for session in trial.plan.sessions if session.rider == "Birch" for code in session.codes]
    assert not any(f'"{code}"' in rider for code in birch)
    sealed = (trial.folder / "key.sealed").read_text(encoding="utf-8").split("\n", 2)[2]
    for text in (sealed.encode(), base64.b64decode(sealed)):  # packed, so that it is not read by accident
        assert not any(told in text for told in (b'"two"', b'"three"', b"85 psi", b"allocation"))


def test_the_printed_seed_alone_gives_nothing_away(tmp_path: Path) -> None:
    """The same seed with other salts gives the same codes and other keys."""
    request = request_from_mapping(PAIRED | {"repeats": 12})
    trials = [
        Trial.planned(request, tmp_path / str(place), admissible=anything, seed=3, salt=bytes([place]) * 32)
        for place in range(2)
    ]
    assert trials[0].plan.sessions == trials[1].plan.sessions
    assert trials[0].sealed_key().allocation != trials[1].sealed_key().allocation
    assert trials[0].plan.commitment != trials[1].plan.commitment


def test_the_card_shows_the_next_code_only_and_to_the_mechanic_only(trial: Trial) -> None:
    """Cards follow the running order, one at a time, after a warm-up run of that rider today."""
    with pytest.raises(InputError, match="only the mechanic"):
        next_card(trial, "Linden", anything)
    with pytest.raises(InputError, match="warm-up"):
        next_card(trial, "Maple", anything)
    trial.add([record(number, "warm_up", who, rider=who) for number, who in enumerate(("Ash", "Birch"))])
    order = [code for _, code in trial.plan.runs()]
    for number, code in enumerate(order):
        card = next_card(trial, "Maple", anything)
        assert card.code == code
        assert next_card(trial, "Maple", anything).code == code
        assert card.setting == dict(trial.sealed_key().option(code).setting)
        trial.add([ready(50 + number, code)])
    with pytest.raises(InputError, match="close the records"):
        next_card(trial, "Maple", anything)
    assert sum(event["event"] == "card" for event in trial.log()) == 2 * len(order)


def test_yesterdays_warm_up_does_not_count(trial: Trial) -> None:
    """Each day begins with a warm-up run."""
    late = Trial(trial.folder, clock=lambda: NOON + timedelta(days=1))
    late.add([record(number, "warm_up", who, rider=who) for number, who in enumerate(("Ash", "Birch"))])
    with pytest.raises(InputError, match="warm-up"):
        next_card(late, "Maple", anything)


def test_a_setting_is_judged_again_on_the_card(trial: Trial) -> None:
    """A setting that may no longer be ridden never reaches the mechanic's card, nor does its value."""
    trial.add([record(number, "warm_up", who, rider=who) for number, who in enumerate(("Ash", "Birch"))])
    with pytest.raises(InputError, match="must not be ridden: pressure limit") as fault:
        next_card(trial, "Maple", lambda option: ["pressure limit"])  # noqa: ARG005
    assert "psi" not in str(fault.value)


def test_an_unridable_setting_stops_the_plan(tmp_path: Path) -> None:
    """No plan is drawn with a setting that the judge refuses, or that touches the brakes."""
    with pytest.raises(InputError, match="three: must not be ridden: too soft"):
        Trial.planned(
            request_from_mapping(PAIRED),
            tmp_path,
            admissible=lambda option: ["too soft"] if option.label == "three" else [],
        )
    brakes = PAIRED | {"options": [{"label": "a", "setting": {"brake_pads": "new"}}, {"label": "b"}]}
    with pytest.raises(InputError, match="must not alter braking"):
        Trial.planned(request_from_mapping(brakes), tmp_path, admissible=anything)
    assert not (tmp_path / "plan.json").exists()


def test_a_stop_holds_until_the_leader_resumes(trial: Trial) -> None:
    """After an incident that stops the trial there is no card until the leader says why it goes on."""
    trial.add([record(number, "warm_up", who, rider=who) for number, who in enumerate(("Ash", "Birch"))])
    trial.add([record(10, "incident", "Birch", text="knock in the fork", severity="stop")])
    with pytest.raises(InputError, match="knock in the fork"):
        next_card(trial, "Maple", anything)
    assert trial.add([record(11, "resume", "Birch", text="fine")])[0].status == "set aside"
    trial.add([record(12, "resume", "Linden", text="axle was loose, tightened and checked")])
    assert next_card(trial, "Maple", anything).code


def test_the_key_stays_shut_until_the_records_close(trial: Trial) -> None:
    """Opening first is impossible; closing is the leader's, final, and wants a reason for missing answers."""
    with pytest.raises(InputError, match="close them first"):
        open_key(trial, "Linden")
    with pytest.raises(InputError, match="only the leader"):
        close_records(trial, "Ash")
    with pytest.raises(InputError, match="4 of 4 sessions"):
        close_records(trial, "Linden")
    assert len(close_records(trial, "Linden", "rain")) == 4
    with pytest.raises(InputError, match="closed already"):
        close_records(trial, "Linden")
    opened = open_key(trial, "Linden", printed_commitment=trial.plan.commitment.upper())
    assert opened.draw_repeats
    assert not opened.broken_blind
    assert commitment(opened.key) == trial.plan.commitment
    assert [event["event"] for event in trial.log()] == ["planned", "closed", "opened"]
    assert (trial.folder / "opened.json").exists()
    open_key(trial, "Ash")
    assert trial.log()[-1]["event"] == "read again"


def test_late_records_are_kept_but_do_not_count(trial: Trial) -> None:
    """A phone that comes home after closing loses nothing, and changes nothing."""
    close_records(trial, "Linden", "rain")
    assert (
        trial.add([record(1, "remark", "Ash", text="late")])[0].reason == "came after the records were closed"
    )
    assert trial.records() == ()
    assert trial.set_aside()[0]["record"]["text"] == "late"


def test_breaking_the_blind_works_at_once_and_stays_on_record(trial: Trial) -> None:
    """For safety the key opens any time, with a reason, and the log shows it for ever."""
    with pytest.raises(InputError, match="needs a reason"):
        open_key(trial, "Ash", break_blind=True)
    opened = open_key(trial, "Ash", break_blind=True, reason="crash, paramedic asks")
    assert opened.broken_blind
    assert trial.state == "running"
    assert trial.broken_at == NOON
    close_records(trial, "Linden", "broken blind")
    assert open_key(trial, "Linden").broken_blind


@pytest.mark.parametrize("change", ["flip", "swap", "missing"])
def test_a_changed_key_is_noticed(trial: Trial, tmp_path: Path, change: str) -> None:
    """A damaged key, another trial's key, and a missing one are each refused with the file's name."""
    path = trial.folder / "key.sealed"
    if change == "flip":
        text = path.read_text(encoding="utf-8")
        other_letter = "A" if text[300] != "A" else "B"
        path.write_text(text[:300] + other_letter + text[301:], encoding="utf-8")
    elif change == "swap":
        other = Trial.planned(request_from_mapping(PAIRED), tmp_path / "other", admissible=anything, seed=3)
        path.write_bytes((other.folder / "key.sealed").read_bytes())
    else:
        path.unlink()
    close_records(trial, "Linden", "rain")
    with pytest.raises(InputError, match=r"key\.sealed"):
        open_key(trial, "Linden")


def test_a_changed_plan_is_noticed_with_the_paper_at_hand(trial: Trial) -> None:
    """Somebody who replaces plan and key together is caught by the printed commitment, and by the log."""
    plan = json.loads((trial.folder / "plan.json").read_text(encoding="utf-8"))
    printed = plan["commitment"]
    plan["commitment"] = "0" * 64
    (trial.folder / "plan.json").write_text(json.dumps(plan), encoding="utf-8")
    changed = Trial(trial.folder)
    with pytest.raises(InputError, match="the plan was changed"):
        open_key(changed, "Linden", printed_commitment=printed)
    assert "plan.json was changed by hand" in changed.tampering()[0]


def test_a_changed_record_is_noticed(trial: Trial) -> None:
    """Rewriting an answer in the file breaks the chain from that line on."""
    trial.add([record(number, "remark", "Ash", text="harsh") for number in range(3)])
    path = trial.folder / "records.jsonl"
    rows = path.read_text(encoding="utf-8").splitlines(keepends=True)
    rows[1] = rows[1].replace("harsh", "lovely")
    path.write_text("".join(rows), encoding="utf-8")
    assert trial.tampering() == ("records.jsonl was changed by hand: line 2 does not fit its chain",)


@pytest.mark.parametrize("text", ["{}\n", "not json\n", '{"entry": 3, "chain": "x"}\n', '["entry"]\n'])
def test_a_damaged_journal_names_file_and_line(trial: Trial, text: str) -> None:
    """A line that is none of ours ends in one message with file and line, not in a traceback."""
    trial.add([record(1, "remark", "Ash", text="harsh")])
    with (trial.folder / "records.jsonl").open("a", encoding="utf-8") as file:
        file.write(text)
    with pytest.raises(InputError, match=r"records\.jsonl, line 2"):
        trial.records()


def test_a_plan_is_never_drawn_twice(trial: Trial) -> None:
    """A folder holds one trial for ever: no drawing again until the order pleases."""
    with pytest.raises(InputError, match="never drawn twice"):
        Trial.planned(request_from_mapping(PAIRED), trial.folder, admissible=anything)


RECORDS = [
    ("choice", "Maple", {"session": 1, "choice": "@0"}, "by: may not write a choice record"),
    ("rating", "@other", {"code": "@0", "values": {"grip": 5}}, "by: may not write"),
    ("rating", "@rider", {"code": "@0", "values": {"grip": 10}}, "values.grip: not a point of the scale"),
    ("rating", "@rider", {"code": "@0", "values": {"grip": 4.5}}, "values.grip: not a point of the scale"),
    ("rating", "@rider", {"code": "@0", "values": {"speed": 5}}, "values: not in this trial"),
    ("rating", "@rider", {"code": "999999", "values": {"grip": 5}}, "code: no such code"),
    ("rating", "@rider", {"code": "@0"}, "values: a rating record needs it"),
    ("choice", "@rider", {"session": 1, "choice": "000"}, "choice: not in this trial"),
    ("choice", "@rider", {"session": 99, "choice": "@0"}, "session: no such session"),
    (
        "choice",
        "@rider",
        {"session": 1, "choice": "@0", "ranking": ["@0"]},
        "ranking: a choice record has no",
    ),
    ("ranking", "@rider", {"session": 1, "ranking": ["@0", "@1"]}, "a paired trial asks for no ranking"),
    ("ready", "Maple", {"code": "@0", "checks": ["setting"]}, "not to be ridden before this is ticked"),
    ("ready", "@rider", {"code": "@0", "checks": ["setting"]}, "by: may not write a ready record"),
    ("warm_up", "@rider", {"rider": "Nobody"}, "rider: no such rider"),
    ("time", "@rider", {"code": "@0", "values": {"lap": 20}}, "values: not in this trial"),
]


@pytest.mark.parametrize(("kind", "by", "more", "reason"), RECORDS)
def test_a_record_that_does_not_fit_is_set_aside_with_its_reason(
    trial: Trial, kind: str, by: str, more: dict[str, Any], reason: str
) -> None:
    """Each misfit names the key and what is allowed."""
    session = trial.plan.sessions[0]
    other = next(rider for rider in ("Ash", "Birch") if rider != session.rider)
    names = {"@rider": session.rider, "@other": other, "@0": session.codes[0], "@1": session.codes[1]}

    def filled(value: Any) -> Any:
        if isinstance(value, list):
            return [filled(inner) for inner in value]
        return names.get(value, value) if isinstance(value, str) else value

    receipt = trial.add([record(1, kind, filled(by), **{key: filled(value) for key, value in more.items()})])[
        0
    ]
    assert receipt.status == "set aside"
    assert reason in receipt.reason
    assert len(trial.set_aside()) == 1
