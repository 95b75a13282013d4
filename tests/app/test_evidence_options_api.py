"""Setting and day of a bench trace, and how a log is read, by the pages' calls: as the command line does."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from tests.app_rides import command_line

Ask = Callable[..., Any]
Cli = Callable[..., tuple[int, str, str]]

DAY = {"temperature": "5 °C", "fill_temperature": "24 °C", "altitude": "1500 m", "fill_altitude": "300 m"}
ON_THE_DAY = ("--temp", "5 °C", "--fill-temp", "24 °C", "--altitude", "1500 m", "--fill-altitude", "300 m")
SETTING = {"pressure": "88 psi", "spacers": "3"}
SET_TO = ("--pressure", "88 psi", "--spacers", "3")


def test_a_fit_at_another_setting_on_a_cold_day_is_the_command_lines(
    ask: Ask, bring: Ask, tmp_path: Path, demo: Path, dunlin: dict[str, Any]
) -> None:
    """Setting, day, zeros and level reach the fit; a stated pressure is not offered to be fitted."""
    pull, path = tmp_path / "short-pull.csv", "air_spring.seal_friction"
    lines = (demo / "logs" / "dunlin-slow-pull.csv").read_text("utf-8").splitlines(keepends=True)
    pull.write_text("".join((*lines[:3], *lines[3::9])), "utf-8")
    more = ("--force-zero", "4 N", "--travel-zero", "0.5 mm", "--level", "0.9")
    expected = command_line("fit", demo / "dunlin-160.toml", pull, "-p", path, *SET_TO, *ON_THE_DAY, *more)
    key = bring(pull)
    bench = {"fork": dunlin, "files": [key], "setting": SETTING, "day": DAY}
    zeros = {"force_zero": "4 N", "travel_zero": "0.5 mm", "level": 0.9}
    found = ask("fit", {**bench, **zeros, "parameters": [path]})
    told = {name: found[name] for name in expected if name != "written"} | {"written": None}
    assert told == expected
    looked = ask("traces", bench)
    own = ask("traces", {"fork": dunlin, "files": [key]})
    predicted = [answer["traces"][0]["predicted_N"] for answer in (looked, own)]
    assert predicted[0] != predicted[1]
    free = [{one["path"] for one in answer["parameters"]} for answer in (looked, own)]
    assert free[1] - free[0] == {"setting.pressure"}


def test_a_setting_that_cannot_be_is_refused_in_the_command_lines_words(
    ask: Ask, bring: Ask, cli: Cli, demo: Path, dunlin: dict[str, Any]
) -> None:
    """Each field of the setting is read and checked before any wait, and the error is the command line's."""
    pull = demo / "logs" / "dunlin-slow-pull.csv"
    key = bring(pull)
    for name, text in (
        ("pressure", "300 psi"),
        ("pressure", "9 mm"),
        ("spacers", "9"),
        ("floating", "90 psi"),
        ("negative_pressure", "90 psi"),
        ("preload", "3 mm"),
    ):
        option = f"--{name.replace('_', '-')}"
        status, _, err = cli("fit", demo / "dunlin-160.toml", pull, option, text)
        refused = ask("fit", {"fork": dunlin, "files": [key], "setting": {name: text}}, status=422)
        assert status == 2
        assert err.strip().endswith(refused["error"].removeprefix(f"{name}: ")), (err, refused)
        assert refused["key"] in (name, f"setting.{name}")
    assert "whole number" in ask(
        "traces", {"fork": dunlin, "files": [key], "setting": {"spacers": "two"}}, status=422
    )["error"]  # fmt: skip
    cold = {"fork": dunlin, "files": [key], "day": DAY | {"fill_temperature": "-200 °C"}}
    refused = ask("traces", cold, status=422)
    assert (refused["key"], refused["allowed"]) == ("fill_temperature", "-100 °C to 150 °C")
    refused = ask("leak", {"fork": dunlin, "file": key, "altitude": "high"}, status=422)
    assert refused["key"] == "altitude"


USE = {"column": "Ch 1", "quantity": "length", "unit": "mm", "reversed": True, "zero": 158.0}
SECTIONS = """
[[section]]
name = "=roots"
from = "2 s"
to = "9 s"
"""


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A log without times or a name for its one column, which counts down from 158."""
    rows = (f"{158 - (45 + 30 * ((i // 35) % 3) / 2 + (i * i) % 7):.2f}" for i in range(2600))
    path = tmp_path / "ride.csv"
    path.write_text("Ch 1\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_a_log_is_read_and_taken_along_as_the_command_line_does(
    ask: Ask, bring: Ask, tmp_path: Path, log: Path, dunlin: dict[str, Any]
) -> None:
    """Sign, zero, rate, full travel, low-pass and stretches count alike; the table is `--export`'s."""
    stretches, table = tmp_path / "sections.toml", tmp_path / "use.csv"
    stretches.write_text(SECTIONS, encoding="utf-8")
    told = command_line(
        "log", log, "--column-of", "travel=Ch 1", "--unit-of", "travel=mm", "--reverse", "travel",
        "--zero-of", "travel=158", "--rate", "200 Hz", "--travel", "150 mm", "--cutoff", "40 Hz",
        "--sections", stretches, "--export", table,
    )["logs"][0]  # fmt: skip
    key = bring(log)
    mapping = {"format": 1, "source": "yard", "sample_rate": "200 Hz", "columns": {"travel": USE}}
    ask("read", {"file": key, "mapping": mapping})
    stretch = {"name": "=roots", "start": 2, "stop": 9}
    ride = {"file": key, "fork": dunlin, "travel": "150 mm", "cutoff": "40 Hz", "sections": [stretch]}
    answer = ask("ride", ride)
    assert {name: answer[name] for name in told} == told
    assert (told["full_travel_m"], told["cutoff_Hz"], round(told["rate_Hz"])) == (0.15, 40.0, 200)
    sent = ask("use", {"rides": [ride], "kind": "csv"})
    assert base64.b64decode(sent["base64"]) == table.read_bytes()
    book = base64.b64decode(ask("use", {"rides": [ride, ride], "kind": "xlsx"})["base64"])
    sheet = [*openpyxl.load_workbook(io.BytesIO(book)).active.iter_rows(values_only=True)]
    assert [row[:2] for row in sheet] == [
        ("log", "name"), *[("ride.csv", "whole ride"), ("ride.csv", "'=roots")] * 2,
    ]  # fmt: skip
    assert sheet[1][3] == pytest.approx(told["whole"]["riding_sag_m"], rel=1e-12)
    refused = ask("ride", ride | {"travel": "150 psi"})
    assert refused["key"] == "travel"
