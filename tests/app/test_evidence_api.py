"""Files of measurements through the workbench's calls: the command line's numbers, nothing let through."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from tests.app.conftest import VISITOR
from tests.app_rides import command_line

from forkwright.app.drafts import Draft, DraftReader
from forkwright.app.evidence.shelf import LARGEST_FILE, clean_name
from forkwright.bench.damping import damping_curve
from forkwright.hardware import load_unit, measures, replaced

OTHER = "b" * 32
Ask = Callable[..., Any]


def test_rides_are_read_and_compared_as_on_the_command_line(
    ask: Ask, bring: Ask, demo: Path, dunlin: dict[str, Any]
) -> None:
    """Every figure, histogram, spectrum and interval of two logs is the one that `forkwright log` gives."""
    paths = [demo / "logs" / name for name in ("moor-ride-a.csv", "moor-ride-b.csv")]
    expected = command_line("log", *paths, "--unit", demo / "dunlin-160.toml")
    rides = [{"file": bring(path), "fork": dunlin} for path in paths]
    for ride, told in zip(rides, expected["logs"], strict=True):
        answer = ask("ride", ride)
        assert {key: answer[key] for key in told} == told
    compared = ask("compare", {"first": rides[0], "second": rides[1]})
    assert {key: compared[key] for key in expected["comparison"]} == expected["comparison"]


def test_a_fit_is_the_command_lines_and_is_offered_as_changes(
    ask: Ask, bring: Ask, demo: Path, dunlin: dict[str, Any]
) -> None:
    """The fit is that of `forkwright fit`; each changed value is an entry that keeps the measured one."""
    pull = demo / "logs" / "dunlin-slow-pull.csv"
    expected = command_line("fit", demo / "dunlin-160.toml", pull, "--loss", "huber")
    key = bring(pull)
    answer = ask("fit", {"fork": dunlin, "files": [key], "loss": "huber"})
    assert {name: answer[name] for name in expected if name != "written"} == {
        name: value for name, value in expected.items() if name != "written"
    }
    rows = {row["path"]: row for row in answer["proposal"]}
    assert [p["name"] for p in expected["parameters"]] == list(rows)
    entry = rows["air_spring.seal_friction"]["entry"]
    assert (entry["origin"], entry["note"]) == (
        "fitted",
        "fitted to dunlin-slow-pull.csv; measured: 12 ± 3 N",
    )
    assert rows["air_spring.bore"]["entry"] is None
    edits = {path: row["entry"] for path, row in rows.items() if row["entry"]}
    again = ask("traces", {"fork": dunlin | {"edits": edits}, "files": [key]})
    left = np.std(again["traces"][0]["residual_N"])
    before = np.std(ask("traces", {"fork": dunlin, "files": [key]})["traces"][0]["residual_N"])
    assert left < 0.9 * before


def test_a_fitted_shim_is_offered_as_a_change_of_its_stack(
    ask: Ask, bring: Ask, demo: Path, dunlin: dict[str, Any]
) -> None:
    """A value in a list of the file comes as the item it stands in; with it the draft says fitted."""
    path = "damper.rebound_valve.shims.1.thickness"
    true = replaced(load_unit(demo / "dunlin-160.toml"), {path: 0.09e-3})
    speed = np.linspace(-1.2, 1.2, 31)
    force = damping_curve(true, speeds=speed).force
    lines = "".join(f"{v:.4f};{f:.3f}\n" for v, f in zip(speed, force, strict=True)).replace(".", ",")
    key = bring(("speed (m/s);force (N)\n" + lines).encode(), "dyno.csv")
    answer = ask("fit", {"fork": dunlin, "files": [key], "parameters": [path]})
    (row,) = answer["proposal"]
    assert (row["words"], row["list"], row["index"]) == (
        "rebound valve, shim 2: thickness", "damper.rebound_valve.shims", 1,
    )  # fmt: skip
    stack = answer["lists"][row["list"]]
    stack[row["index"]] = row["entry"]
    unit = DraftReader(1).unit(Draft(toml=dunlin["toml"], edits={row["list"]: stack}))
    shim = measures(unit)[path]
    assert (shim.origin, round(shim.si * 1e3, 3)) == ("fitted", 0.09)
    assert shim.note == "fitted to dyno.csv; measured: 0.100 ± 0.002 mm"


@pytest.mark.parametrize("name", ["dunlin-leak-down.csv", "dunlin-lower-legs.csv"])
def test_leaks_are_the_command_lines(
    ask: Ask, bring: Ask, demo: Path, dunlin: dict[str, Any], name: str
) -> None:
    """Leak rates, the gas's way and air drawn in over rides are those of `forkwright leakdown`."""
    expected = command_line("leakdown", demo / "logs" / name, "--unit", demo / "dunlin-160.toml")
    answer = ask("leak", {"fork": dunlin, "file": bring(demo / "logs" / name)})
    assert {key: answer[key] for key in expected} == expected


def test_a_window_of_a_long_log_is_small_and_loses_no_peak(
    ask: Ask, bring: Ask, dunlin: dict[str, Any]
) -> None:
    """Minutes at 1 kHz with a gap: few samples come, the sharp peak and the gap among them."""
    time_s = np.arange(0, 200, 1e-3)
    travel = 40 + 20 * np.sin(2 * np.pi * 1.5 * time_s)
    travel[123_456:123_500] = 140.0
    kept = np.abs(time_s - 150) > 2
    table = np.column_stack([time_s, travel])[kept]
    lines = [f"{t:.3f},{x:.2f}" for t, x in table.tolist()]
    key = bring(("time (s),travel (mm)\n" + "\n".join(lines)).encode(), "long.csv")
    ride = {"file": key, "fork": dunlin}
    whole = ask(
        "window", {"ride": ride, "start": 0, "stop": 200, "columns": 500, "shown": ["travel", "speed"]}
    )
    shown = whole["shown"]["travel"]
    assert len(shown["time_s"]) <= 2 * 500 + 4
    assert shown["samples"] == pytest.approx(196_000, rel=0.01)
    assert max(x for x in shown["travel_m"] if x is not None) > 0.139
    assert shown["travel_m"].count(None) == 1
    near = ask("window", {"ride": ride, "start": 123.4, "stop": 123.6, "columns": 500})["shown"]["travel"]
    assert near["whole"]
    assert "stretch" in ask("window", {"ride": ride, "start": 700, "stop": 800}, status=422)["error"]


def test_a_spreadsheet_offers_its_sheets(ask: Ask, bring: Ask, dunlin: dict[str, Any]) -> None:
    """A book of two sheets: the first is read unless another is asked for; a wrong name is refused."""
    book = openpyxl.Workbook()
    for number, sheet in enumerate((book.active, book.create_sheet("Run 2"))):
        sheet.title = f"Run {number + 1}"
        sheet.append(["Time (s)", "Travel (mm)"])
        for i in range(400):
            sheet.append([i / 100, 40 + 10 * number + 20 * ((i // 40) % 2)])
    target = io.BytesIO()
    book.save(target)
    key = bring(target.getvalue(), "runs.xlsx")
    looked = ask("look", {"file": key, "sheet": "Run 2"})
    assert (looked["sheets"], looked["sheet"]) == (["Run 1", "Run 2"], "Run 2")
    sags = []
    for sheet in ("", "Run 2"):
        ask("read", {"file": key, "mapping": looked["mapping"], "sheet": sheet})
        sags.append(ask("ride", {"file": key, "fork": dunlin})["whole"]["riding_sag_m"])
    assert sags[1] - sags[0] == pytest.approx(0.01)
    assert "no such sheet" in ask("look", {"file": key, "sheet": "Run 3"})["error"]


def zip_bomb() -> bytes:
    """A spreadsheet whose one sheet unpacks ten thousand times."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/worksheets/sheet1.xml", b"\0" * 50_000_000)
    return target.getvalue()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 400, "not a text table"),
        (b"PK\x03\x04 and then nothing", "no spreadsheet"),
        (zip_bomb(), "unpacks to far more"),
        (b"PAR1" + b"\xff" * 60 + b"PAR1", "no Parquet file"),
        ("words and more words\n".encode("utf-16") * 30, "no row of numbers"),
    ],
    ids=["picture", "cut-zip", "bomb", "parquet", "words"],
)
def test_what_is_no_table_is_refused_under_its_own_name(
    ask: Ask, bring: Ask, content: bytes, words: str
) -> None:
    """A file is known by its content; the refusal names it as its user does, and no place on this machine."""
    failure = ask("look", {"file": bring(content, "../../etc/ride.csv")})
    assert words in failure["error"]
    assert failure["error"].startswith("ride.csv")
    assert "tmp" not in failure["error"]
    assert "forkwright" not in failure["error"]


def test_a_name_is_shown_and_never_opened(client: Any, bring: Ask) -> None:
    """Folders and control characters fall away, and the file lies under a number of the server's own."""
    assert clean_name("../../../etc/passwd\n\x00") == "passwd"
    assert clean_name("C:\\logs\\..\\ride.csv") == "ride.csv"
    assert clean_name("///") == "file"
    bring(b"time (s),travel (mm)\n0,1\n1,2\n2,3\n", "..%2f..%2fride.csv")
    held = client.app.state.shelf.listed(VISITOR)[0]
    assert held.path.name.isdecimal()
    folder = held.path.parent
    client.app.state.shelf.close()
    assert not folder.exists()


def test_one_browsers_files_are_not_anothers(ask: Ask, bring: Ask, dunlin: dict[str, Any]) -> None:
    """Another browser is told that there is no such file, in every call."""
    key = bring(b"time (s),travel (mm)\n0,1\n1,2\n2,3\n", "ride.csv")
    ride = {"file": key, "fork": dunlin}
    questions: dict[str, dict[str, Any]] = {
        "look": {"file": key},
        "check": {"file": key, "mapping": {}},
        "read": {"file": key, "mapping": {}},
        "ride": ride,
        "window": {"ride": ride, "start": 0, "stop": 1},
        "compare": {"first": ride, "second": ride},
        "traces": {"fork": dunlin, "files": [key]},
        "fit": {"fork": dunlin, "files": [key]},
        "leak": {"fork": dunlin, "file": key},
        "use": {"rides": [ride]},
    }
    for path, question in questions.items():
        assert "bring it in again" in ask(path, question, visitor=OTHER, status=422)["error"], path


def test_a_file_announced_as_too_large_is_not_read(client: Any) -> None:
    """A body longer than the largest file is refused by its announced length."""
    answered = client.post(
        "/api/evidence/files", content=b"x", headers={"content-length": str(LARGEST_FILE + 10_000)}
    )
    assert answered.status_code == 413


def test_a_mapping_goes_out_and_in_as_the_command_lines_file(ask: Ask, tmp_path: Path) -> None:
    """The exported text is read by `--mapping`, and comes back as the same table; a wrong key is named."""
    use = {"column": "Ch 2", "quantity": "length", "unit": "mm", "reversed": True, "zero": 160.0}
    clock = {"column": "Ch 1", "quantity": "time", "unit": "s"}
    table = {"format": 1, "source": "yard bench", "columns": {"time": clock, "travel": use}}
    text = ask("mapping/write", {"mapping": table})["toml"]
    assert ask("mapping/read", {"toml": text, "name": "kept.toml"}) == table
    log, kept = tmp_path / "a.csv", tmp_path / "kept.toml"
    kept.write_text(text, encoding="utf-8")
    log.write_text("Ch 1,Ch 2\n" + "".join(f"{i / 100},{120 - 20 * ((i // 40) % 2)}\n" for i in range(400)))
    answer = command_line("log", log, "--travel", "160 mm", "--mapping", kept)
    assert answer["logs"][0]["whole"]["riding_sag_m"] == pytest.approx(0.05, abs=0.001)
    assert "unknown key" in ask("mapping/read", {"toml": text + "\n[more]\n"}, status=422)["error"]
