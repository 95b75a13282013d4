"""`forkwright trial` from plan to report: exit status, one JSON object in the published shape, two pages."""

from __future__ import annotations

import json
import re
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from tests.command_line import in_form
from tests.trial_samples import PAIRED_TWICE_TEXT

from forkwright.cli import main
from forkwright.trial import MASK_CHECKS, SAFETY_CHECKS, Trial

REQUEST = (
    PAIRED_TWICE_TEXT.partition("[[options]]")[0]
    + """[[options]]
label = "two spacers"
unit = "dunlin.toml"
setting = { pressure = "85 psi", spacers = 2 }

[[options]]
label = "three spacers"
unit = "dunlin.toml"
setting = { pressure = "80 psi", spacers = 3 }

[[scales]]
name = "grip"
low = "none"
high = "all I could ask"

[limits]
load = "420 N"
full_travel_force = "1500 N"
"""
)


class Run:
    """Runs the command line in the shop's folder and reads what it printed."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.capsys = folder, capsys

    def __call__(self, *arguments: str, status: int = 0) -> str:
        try:
            main(["trial", *arguments])
            got: Any = 0
        except SystemExit as end:
            got = end.code or 0
        captured = self.capsys.readouterr()
        assert got == status, captured.err
        if status:
            assert "Traceback" not in captured.err
            return captured.err
        return captured.out

    def json(self, name: str, *arguments: str) -> dict[str, Any]:
        """Run with --json and hold the answer against the published schema."""
        return in_form(f"trial-{name}", self(name, *arguments, "--json"))


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], demo_dir: Path) -> Run:
    (tmp_path / "dunlin.toml").write_bytes((demo_dir / "dunlin-160.toml").read_bytes())
    (tmp_path / "request.toml").write_text(REQUEST, encoding="utf-8")
    return Run(tmp_path, capsys)


def ridden(trial: Trial) -> str:
    """All records of a trial as JSON lines, every rider choosing the first run."""
    at = datetime.now().astimezone().isoformat()
    rows: list[dict[str, Any]] = []
    for session in trial.plan.sessions:
        for code in session.codes:
            checks = [*SAFETY_CHECKS, *MASK_CHECKS]
            rows.append({"id": f"k{code}", "kind": "ready", "by": "Maple", "code": code, "checks": checks})
            values = {"grip": int(code) % 9 + 1}
            rows.append(
                {"id": f"g{code}", "kind": "rating", "by": session.rider, "code": code, "values": values}
            )
        choice = {"session": session.number, "choice": session.codes[0]}
        rows.append({"id": f"c{session.number}", "kind": "choice", "by": session.rider, **choice})
    return "".join(json.dumps({**row, "at": at}) + "\n" for row in rows)


def test_a_whole_trial(run: Run, tmp_path: Path) -> None:
    """Plan, warm-up, card, records, close, open, analyse, report: each step in its published shape."""
    folder = str(tmp_path / "trial")
    plan = run.json("plan", str(tmp_path / "request.toml"), "--out", folder, "--seed", "5")
    assert plan["seed"] == 5
    for rider in ("Ash", "Birch"):
        run.json("record", folder, "--kind", "warm_up", "--by", rider, "--rider", rider)
    card = run.json("card", folder, "--mechanic", "Maple")
    assert card["setting"]["pressure"] in ("85 psi", "80 psi")
    records = tmp_path / "phone.jsonl"
    records.write_text(ridden(Trial(folder)), encoding="utf-8")
    first = run.json("record", folder, str(records))
    again = run.json("record", folder, str(records))
    assert {one["status"] for one in first["receipts"]} == {"kept"}
    assert {one["status"] for one in again["receipts"]} == {"already kept"}
    assert run.json("status", folder)["missing"] == []
    assert "labels" not in run.json("status", folder, "--rider", "Ash")
    assert "close them first" in run("open", folder, "--by", "Linden", status=2)
    run.json("close", folder, "--by", "Linden")
    opened = run.json("open", folder, "--by", "Linden", "--commitment", plan["commitment"])
    assert opened["allocation"][card["code"]] == card["label"]
    assert opened["draw_repeats"]
    analysis = run.json("analyse", folder, "--believe")
    assert analysis["verdict"].startswith("Cannot tell")
    report = run.json("report", folder, "--out", str(tmp_path / "report.pdf"))
    assert report["verdict"] == analysis["verdict"]
    pdf = (tmp_path / "report.pdf").read_bytes()
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 2
    run("report", folder, "--out", str(tmp_path / "again.pdf"))
    assert (tmp_path / "again.pdf").read_bytes() == pdf
    run("report", folder, "--out", str(tmp_path / "report.html"))
    run("report", folder, "--out", str(tmp_path / "report.json"))
    content = json.loads((tmp_path / "report.json").read_text(encoding="utf-8"))
    assert content["raw"]["sessions"][0]["codes"] == plan["sessions"][0]["codes"]


def test_the_plain_output_reads_as_words(run: Run, tmp_path: Path) -> None:
    """Without --json the steps speak to a person, and the plan tells seed, commitment and cautions."""
    folder = str(tmp_path / "trial")
    text = run("plan", str(tmp_path / "request.toml"), "--out", folder)
    for expected in ("Commitment ", "Seed ", "Helmet", "A rider may stop at any time"):
        assert expected in text
    run("record", folder, "--kind", "warm_up", "--by", "Ash", "--rider", "Ash")
    run("record", folder, "--kind", "warm_up", "--by", "Birch", "--rider", "Birch")
    card = run("card", folder, "--mechanic", "Maple")
    assert "pressure = 8" in card
    assert "psi" not in run("status", folder)
    run("close", folder, "--by", "Linden", "--reason", "rain")
    assert "fits its commitment" in run("open", folder, "--by", "Linden")
    assert "Cannot tell" in run("analyse", folder)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('pressure = "80 psi"', 'pressure = "130 psi"', "over the stated pressure limit"),
        ("spacers = 3", "spacers = 7", "more spacers than fit"),
        ('pressure = "80 psi"', 'pressure = "30 psi"', "sag would be"),
        (
            'full_travel_force = "1500 N"',
            'full_travel_force = "9000 N"',
            "at full travel it pushes",
        ),
        ('full_travel_force = "1500 N"', "", "limits.full_travel_force: missing"),
        ('load = "420 N"', 'load = "0 N"', "limits.load: not a force"),
        ('load = "420 N"', 'load = "heavy"', "expected a force such as '12.3 N'; got 'heavy'"),
        ('load = "420 N"', 'load = "420 N"\nsag_high = "much"', "limits.sag_high: not a share"),
        ('unit = "dunlin.toml"', "", "no `checked_by_hand` signed"),
        ('unit = "dunlin.toml"', 'unit = "none.toml"', "none.toml"),
        ("spacers = 3 }", "spacers = 3, colour = 2 }", "colour: unknown key"),
        ("spacers = 3 }", 'spacers = 3, brake = "left" }', "must not alter braking"),
    ],
)
def test_a_setting_past_a_limit_is_never_planned(
    run: Run, tmp_path: Path, old: str, new: str, message: str
) -> None:
    """Pressure, spacers, sag and the force at full travel are each checked before anything is written."""
    assert old in REQUEST
    (tmp_path / "request.toml").write_text(REQUEST.replace(old, new), encoding="utf-8")
    said = run("plan", str(tmp_path / "request.toml"), "--out", str(tmp_path / "trial"), status=2)
    assert message in said
    assert {path.name for path in tmp_path.iterdir()} == {"dunlin.toml", "request.toml"}


def test_a_unit_without_a_file_may_be_signed_by_hand(run: Run, tmp_path: Path) -> None:
    """Where no file allows computing the limits, somebody signs for them, and the plan says so."""
    text = REQUEST.replace('unit = "dunlin.toml"', 'checked_by_hand = "Maple, against the label"')
    (tmp_path / "request.toml").write_text(text, encoding="utf-8")
    plan = run.json("plan", str(tmp_path / "request.toml"), "--out", str(tmp_path / "trial"))
    assert any("checked by hand" in warning for warning in plan["warnings"])


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["card", "nowhere", "--mechanic", "Maple"], "no trial here"),
        (["plan", "nowhere.toml", "--out", "x"], "nowhere.toml: cannot be read"),
        (["record", "@", "--by", "Ash"], "--kind"),
        (["record", "@", "--kind", "dance", "--by", "Ash"], "kind:"),
        (["record", "@", "--kind", "rating", "--by", "Ash", "--set", "grip=high"], "--set: not a number"),
        (["record", "@", "--kind", "remark", "--by", "Nobody", "--text", "x"], "by: may not write"),
        (["record", "@", "nowhere.jsonl"], "nowhere.jsonl: cannot be read"),
        (["record", "@", "@bad"], "bad.jsonl, line 2: not valid JSON"),
        (["close", "@", "--by", "Ash"], "only the leader"),
        (["analyse", "@"], "close and open it first"),
        (["analyse", "@", "--prior", "0,1"], "--prior"),
        (["report", "@", "--out", "r.docx"], "--out: cannot be written"),
        (["status", "@", "--rider", "Zed"], "rider: no such rider"),
    ],
)
def test_wrong_input_is_one_message_and_status_two(
    run: Run, tmp_path: Path, arguments: list[str], message: str
) -> None:
    """No step answers wrong input with a traceback."""
    folder = str(tmp_path / "trial")
    run("plan", str(tmp_path / "request.toml"), "--out", folder)
    bad = tmp_path / "bad.jsonl"
    good = {"id": "a", "kind": "remark", "at": "2026-05-04T12:00:00Z", "by": "Ash", "text": "x"}
    bad.write_text(json.dumps(good) + "\nnot json\n", encoding="utf-8")
    names = {"@": folder, "@bad": str(bad)}
    assert message in run(*(names.get(one, one) for one in arguments), status=2)
