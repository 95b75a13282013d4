"""The Ride page's sweeps without a browser: the command line's rows and words, files, limits, cancelling."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from tests.app_rides import DEMO, VISITOR, WHO, YARD, command_line, ended, question

from forkwright.app.ride import questions
from forkwright.app.ride.answer_shapes import SweepAnswer

DAMPING = "speed_m_s,force_N\n-2,-900\n0,0\n2,1200\n"


def test_a_sweep_holds_the_command_lines_numbers(client: Any, tmp_path: Path) -> None:
    """The rows are those of `forkwright sweep`, and so are the files offered of them."""
    yard = tmp_path / "yard.toml"
    yard.write_text(YARD, encoding="utf-8")
    vary = ["pressure=80 psi..85 psi:5 psi", "rebound=4,8"]
    options = [part for text in vary for part in ("--vary", text)]
    out = tmp_path / "out"
    command_line(
        "sweep", str(DEMO / "dunlin-160.toml"), "--course", str(yard), *WHO, *options, "--out", str(out),
        "--workers", "1",
    )  # fmt: skip
    expected = pl.read_parquet(out / "part-*.parquet").sort("setting")
    key = client.post("/api/ride/sweep", json=question(vary=vary), headers=VISITOR).json()["job"]
    assert ended(client, key)["state"] == "done"
    told = SweepAnswer.model_validate(client.get(f"/api/ride/sweep/{key}", headers=VISITOR).json())
    assert pl.DataFrame(told.columns).equals(expected)
    assert told.words[0] == "pressure 80.0 psi, rebound 4 clicks"
    assert told.edits[3]["setting.rebound"] == 8
    files = {
        kind: client.get(f"/api/ride/sweep/{key}/scores.{kind}", headers=VISITOR).content
        for kind in ("csv", "parquet")
    }
    assert pl.read_parquet(io.BytesIO(files["parquet"])).equals(expected)
    plain = pl.read_csv(io.BytesIO(files["csv"]))
    assert plain["riding_sag_m"].to_list() == expected["riding_sag_m"].to_list()


def test_settings_spread_over_the_ranges_are_those_of_random(client: Any, tmp_path: Path) -> None:
    """So many settings with a seed are the command line's, on the damping of a table; another seed gives
    others."""
    (tmp_path / "yard.toml").write_text(YARD, encoding="utf-8")
    (tmp_path / "damping.csv").write_text(DAMPING, encoding="utf-8")
    vary = ["pressure=75 psi..95 psi:5 psi", "spacers=0..4"]
    command_line(
        "sweep", str(DEMO / "dunlin-160.toml"), "--course", str(tmp_path / "yard.toml"), *WHO, "--vary",
        vary[0], "--vary", vary[1], "--random", "3", "--seed", "5", "--damping",
        str(tmp_path / "damping.csv"), "--out", str(tmp_path / "out"), "--workers", "1",
    )  # fmt: skip
    expected = pl.read_parquet(tmp_path / "out" / "part-*.parquet").sort("setting")
    asked = question(vary=vary, count=3, damping={"name": "damping.csv", "csv": DAMPING})
    found = []
    for seed in (5, 6):
        key = client.post("/api/ride/sweep", json=asked | {"seed": seed}, headers=VISITOR).json()["job"]
        assert ended(client, key)["state"] == "done"
        found.append(client.get(f"/api/ride/sweep/{key}", headers=VISITOR).json()["columns"])
    assert pl.DataFrame(found[0]).equals(expected)
    assert found[0]["pressure_gauge_Pa"] != found[1]["pressure_gauge_Pa"]


def test_clicks_that_a_damping_table_leaves_idle_are_not_ridden(client: Any) -> None:
    """Rows that cannot differ are refused before the wait; without the table they are ridden."""
    asked = question(vary=["rebound=2..3"], damping={"name": "damping.csv", "csv": DAMPING})
    answered = client.post("/api/ride/sweep", json=asked, headers=VISITOR)
    assert answered.status_code == 422
    assert "clicks change nothing here" in answered.json()["error"]
    assert client.post("/api/ride/sweep", json=asked | {"damping": None}, headers=VISITOR).status_code == 200


@pytest.mark.parametrize("count", [0, "x", questions.MOST_SETTINGS + 1])
def test_a_number_of_settings_that_is_none_is_refused(client: Any, count: object) -> None:
    """The field is named."""
    answered = client.post("/api/ride/sweep", json=question(vary=["rebound=2..9"], count=count))
    assert answered.status_code == 422
    assert answered.json()["key"] == "count"


@pytest.mark.parametrize(
    ("vary", "words"),
    [
        (["pressure=80 psi..300 psi:5 psi"], "over the stated pressure limit"),
        (["boost=1..3"], "not an entry of a setting"),
        (["rebound=8..2"], "the range runs backwards"),
        (["pressure=70 psi..110 psi:0.05 psi"], f"up to {questions.MOST_SETTINGS}"),
        ([], "vary"),
        (["pressure=70 psi..110 psi:0.125 psi"], "up to 60000 s together"),
    ],
)
def test_a_wrong_sweep_is_refused_before_it_begins(client: Any, vary: list[str], words: str) -> None:
    """A range that cannot be ridden is said at once, in the words of `--vary`."""
    course = {"toml": YARD.replace("30 m", "1200 m"), "name": "far.toml"}
    answered = client.post("/api/ride/sweep", json=question(vary=vary, course=course))
    assert answered.status_code == 422
    assert words in answered.json()["error"]


def test_a_sweep_is_cancelled(client: Any) -> None:
    """A sweep that is asked to stop ends without a result."""
    many = question(
        vary=["pressure=60 psi..100 psi:5 psi", "rebound=2..5"], course={"demo": "heather-traverse"}
    )
    key = client.post("/api/ride/sweep", json=many, headers=VISITOR).json()["job"]
    client.app.state.jobs.cancel("r" * 32, key)
    assert ended(client, key)["state"] == "cancelled"
    assert client.get(f"/api/ride/sweep/{key}", headers=VISITOR).status_code == 422
