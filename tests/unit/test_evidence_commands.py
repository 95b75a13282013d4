"""`fit`, `log` and `leakdown`: their JSON holds to the published schemas, and faults end in one message."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.command_line import in_form

from forkwright.cli import main
from forkwright.evidence.demo_logs import DECLARED, LEAK, TRUTH
from forkwright.hardware import load_unit, measures

Run = Callable[..., dict[str, Any]]
TABLE = "time (s),travel (mm)\n0,10\n1,20\n2,30\n"
FULL = ("--travel", "160 mm")


@pytest.fixture
def logs(demo_dir: Path) -> Path:
    return demo_dir / "logs"


@pytest.fixture
def fork(demo_dir: Path) -> str:
    return str(demo_dir / "dunlin-160.toml")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command with --json; the answer must hold to its published schema, with nothing else printed."""

    def ran(name: str, *arguments: object) -> dict[str, Any]:
        main([name, *map(str, arguments), "--json"])
        return in_form(name, capsys.readouterr().out)

    return ran


def refused(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    with pytest.raises(SystemExit) as end:
        main([*map(str, arguments)])
    assert end.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    return said.err


def test_demo_logs_say_in_their_first_line_that_they_are_invented(logs: Path) -> None:
    found = sorted(logs.glob("*.csv"))
    assert len(found) == 5
    assert all(path.read_text("utf-8").splitlines()[0] == DECLARED for path in found)


def test_fit_finds_what_the_demo_fork_really_is_and_writes_it(
    run: Run, fork: str, logs: Path, tmp_path: Path
) -> None:
    out = tmp_path / "fitted.toml"
    answer = run("fit", fork, logs / "dunlin-slow-pull.csv", "--loss", "huber", "--out", out)
    found = {p["name"]: p for p in answer["parameters"]}
    for path, value in TRUTH.items():
        assert found[path]["low"] <= value <= found[path]["high"], path
    assert answer["converged"]
    assert answer["written"] == str(out)
    seals = TRUTH["air_spring.seal_friction"] + load_unit(fork).damper.seal_friction.si
    assert answer["loop"]["friction_mean_N"] == pytest.approx(seals, abs=1.5)
    written = measures(load_unit(out))["air_spring.positive_volume"]
    assert written.origin == "fitted"
    assert "measured: 212 ± 2 ml" in written.note


def test_residuals_go_to_a_file(run: Run, fork: str, logs: Path, tmp_path: Path) -> None:
    out = tmp_path / "residuals.csv"
    run("fit", fork, logs / "dunlin-slow-pull.csv", "-p", "air_spring.seal_friction", "--residuals", out)
    lines = out.read_text("utf-8").splitlines()
    assert lines[0] == "trace,axis,along,measured,predicted,residual"
    assert len(lines) > 500


def test_leakdown_names_the_path_the_invented_gas_took(run: Run, fork: str, logs: Path) -> None:
    answer = run("leakdown", logs / "dunlin-leak-down.csv", "--unit", fork)
    path = answer["path"]["possible"][0]
    assert (path["source"], path["target"]) == ("negative", "lower_leg")
    assert path["flow_mol_s"] == pytest.approx(LEAK, rel=0.15)
    assert answer["ingress"] is None
    assert run("leakdown", logs / "dunlin-leak-down.csv")["path"] is None


def test_leakdown_reads_rides_as_air_drawn_into_the_lowers(run: Run, fork: str, logs: Path) -> None:
    answer = run("leakdown", logs / "dunlin-lower-legs.csv", "--unit", fork)
    assert answer["ingress"]["low_Pa"] < 0.35 * 6894.757 < answer["ingress"]["high_Pa"]


def test_log_reads_one_ride_and_compares_two(run: Run, fork: str, logs: Path, tmp_path: Path) -> None:
    sections = tmp_path / "sections.toml"
    sections.write_text('[[section]]\nname = "roots"\nfrom = "0 s"\nto = "10 s"\n')
    one = run("log", logs / "moor-ride-a.csv", "--unit", fork, "--sections", sections, "--series")
    assert one["comparison"] is None
    assert one["logs"][0]["sections"][0]["name"] == "roots"
    assert sum(one["logs"][0]["whole"]["used"]["travel_share"]) == pytest.approx(1.0)
    assert any("exactly its highest value" in w for w in one["warnings"])
    two = run("log", logs / "moor-ride-a.csv", logs / "moor-ride-b.csv", "--travel", "160 mm")
    sag = next(d for d in two["comparison"]["differences"] if d["name"] == "riding sag")
    assert sag["shown"]
    assert sag["change"]["value"] > 0


def test_a_simulated_ride_is_laid_over_the_log_it_was_made_from(
    run: Run, fork: str, logs: Path, demo_dir: Path
) -> None:
    """The demo log is the kernel's own ride at 76 psi; at 85 psi it follows closely, shifted by nothing."""
    course = demo_dir / "courses" / "peat-hag-descent.toml"
    people = ("--rider", demo_dir / "rider.toml", "--bike", demo_dir / "bike.toml")
    answer = run("log", logs / "moor-ride-b.csv", "--unit", fork, "--course", course, *people)["overlay"]
    assert abs(answer["shift_s"]) < 0.05
    assert answer["correlation"] > 0.9
    assert answer["rms_m"] < 0.012


def test_use_per_section_goes_to_a_spreadsheet(run: Run, logs: Path, tmp_path: Path) -> None:
    out = tmp_path / "use.xlsx"
    run("log", logs / "moor-ride-b.csv", "--travel", "160 mm", "--export", out)
    assert out.read_bytes().startswith(b"PK")


def test_a_mapping_is_kept_and_used_for_the_next_file(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Ch 1,Ch 2\n" + "\n".join(f"{i / 200},{40 + 20 * ((i // 40) % 2)}" for i in range(4000)))
    kept = tmp_path / "kept.toml"
    told = (
        "--column-of",
        "time=Ch 1",
        "--column-of",
        "travel=Ch 2",
        "--unit-of",
        "time=s",
        "--unit-of",
        "travel=mm",
    )
    first = run("log", path, "--travel", "160 mm", *told, "--save-mapping", kept)
    other = tmp_path / "b.csv"
    shutil.copy(path, other)
    second = run("log", other, "--travel", "160 mm", "--mapping", kept)
    assert second["logs"][0]["whole"] == first["logs"][0]["whole"]
    turned = run("log", other, "--travel", "160 mm", "--mapping", kept, "--reverse", "travel")
    assert turned["logs"][0]["whole"]["riding_sag_m"] == pytest.approx(
        -first["logs"][0]["whole"]["riding_sag_m"]
    )


@pytest.mark.parametrize(
    ("text", "arguments", "words"),
    [
        ("time (s),travel\n0,10\n1,20\n2,30\n", ("log", "--travel", "160 mm"), "please confirm"),
        (TABLE, ("log",), "full travel"),
        ("time (s),speed (m/s)\n0,10\n1,20\n2,30\n", ("log", "--travel", "160 mm"), "no channel 'travel'"),
        (TABLE, ("leakdown",), "no pressure in the file"),
        (TABLE, ("log", *FULL, "--unit-of", "travel"), "CHANNEL=VALUE"),
        (TABLE, ("log", *FULL, "--unit-of", "travel=psi"), "no unit of length"),
    ],
)  # fmt: skip
def test_what_is_wrong_ends_in_one_message_and_status_two(
    text: str, arguments: tuple[str, ...], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.csv"
    path.write_text(text)
    message = refused(capsys, arguments[0], path, *arguments[1:])
    assert words in message
    assert "Traceback" not in message
    assert len(message.strip().splitlines()) == 1


def test_a_trace_of_the_wrong_kind_is_refused_by_name(
    fork: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.csv"
    path.write_text("time (s),temperature (°C)\n0,10\n1,20\n2,30\n", encoding="utf-8")
    assert "no trace to fit to" in refused(capsys, "fit", fork, path)
    assert "no such measure" in refused(
        capsys, "fit", fork, Path(fork).parent / "logs" / "dunlin-slow-pull.csv", "-p", "air_spring.bor"
    )
