"""The commands ride, sweep and course: keys, published schemas, exit status, no traceback."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.command_line import Cli, in_form, refused

from forkwright.cli import main

RIDER = ("--rider", "82 kg")


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """Run a command with --json in its arguments; its answer, held to its published form."""
    main(list(arguments))
    return in_form(arguments[0], capsys.readouterr().out)


def test_ride_answers_in_its_published_form(
    demo_dir: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`ride --json` holds to its schema, balances its energy, and writes a history that can be read."""
    import polars as pl

    place = tmp_path / "run.csv"
    found = answer(
        capsys, "ride", str(demo_dir / "dunlin-160.toml"), "--course", "cairn-flow-line", *RIDER,
        "--history", str(place), "--history-rate", "200", "--json",
    )  # fmt: skip
    assert sum(found["travel_share"]) == pytest.approx(1.0)
    assert sum(found["speed_share"]) == pytest.approx(1.0)
    assert found["energy_imbalance"] < 5e-4
    frame = pl.read_csv(place)
    assert frame.columns == list(found["history"])
    assert frame["travel_m"].max() <= found["greatest_travel_m"] + 1e-12
    assert np.diff(frame["time_s"]).mean() == pytest.approx(0.005, rel=0.1)


def test_more_pressure_rides_higher(demo_dir: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Options of the setting reach the ride."""
    start = ("ride", str(demo_dir / "dunlin-160.toml"), "--course", "heather-traverse", *RIDER, "--json")
    soft = answer(capsys, *start, "--pressure", "70 psi", "--limbs")
    firm = answer(capsys, *start, "--pressure", "100 psi", "--limbs")
    assert soft["riding_sag_m"] > firm["riding_sag_m"]
    assert soft["energy_J"]["rider"] > 0.0


def test_shims_that_stretch_ride_firmer(demo_dir: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--stiffening` reaches the ride's damper: less travel is used, and the remark goes."""
    start = ("ride", str(demo_dir / "dunlin-160.toml"), "--course", "heather-traverse", *RIDER, "--json")
    bent, stretched = answer(capsys, *start), answer(capsys, *start, "--stiffening")
    assert stretched["greatest_travel_m"] < bent["greatest_travel_m"]
    assert any("ask for stiffening" in note for note in bent["warnings"])
    assert not any("ask for stiffening" in note for note in stretched["warnings"])


def test_course_tells_what_lies_on_it_and_imports(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`course --json` holds to its schema, also for a course made from a measured profile."""
    found = answer(capsys, "course", "peat-hag-descent", "--json")
    assert "jump" in found["event_kind"]
    distance = np.arange(0.0, 40.0, 0.05)
    rows = "\n".join(f"{d:.2f},{0.02 * np.sin(d):.5f}" for d in distance)
    (tmp_path / "m.csv").write_text("distance_m,elevation_m\n" + rows)
    made = answer(
        capsys, "course", str(tmp_path / "m.csv"), "--import", str(tmp_path / "m.toml"), "--speed", "5 m/s",
        "--json",
    )  # fmt: skip
    assert made["length_m"] == pytest.approx(39.95, abs=0.01)
    assert made["duration_s"] == pytest.approx(7.99, abs=0.01)


def test_sweep_answers_in_its_published_form(
    demo_dir: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`sweep --json` holds to its schema and leaves a table that can be read."""
    import polars as pl

    found = answer(
        capsys, "sweep", str(demo_dir / "dunlin-160.toml"), "--course", "cairn-flow-line", *RIDER,
        "--vary", "pressure=80 psi..90 psi:10 psi", "--vary", "rebound=4,8", "--out", str(tmp_path / "s"),
        "--workers", "1", "--json",
    )  # fmt: skip
    assert found["finished"]
    frame = pl.read_parquet(tmp_path / "s" / "part-*.parquet")
    assert frame.height == 4
    assert frame["fault"].to_list() == [""] * 4


CAIRN = ("--course", "cairn-flow-line", *RIDER)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("ride", "{unit}", "--course", "nowhere", *RIDER), "no such course"),
        (("ride", "{unit}", *CAIRN, "--pressure", "500 psi"), "pressure limit"),
        (("ride", "{unit}", *CAIRN, "--damping", "{unit}"), "wrong columns"),
        (("ride", "{unit}", *CAIRN, "--tyre-pressure", "0 psi"), "out of range"),
        (("sweep", "{unit}", *CAIRN, "--out", "{tmp}/x"), "--vary or --list"),
        (
            ("sweep", "{unit}", *CAIRN, "--out", "{tmp}/x", "--vary", "spacers=0,1", "--cluster", "nothing"),
            "cluster cannot be reached",
        ),
        (
            ("sweep", "{unit}", *CAIRN, "--out", "{tmp}/x", "--vary", "spacers=0,99", "--workers", "1"),
            "spacers: out of range",
        ),
        (("course", "{tmp}/none.toml"), "cannot be read"),
    ],
)
def test_wrong_input_ends_with_one_message(
    arguments: tuple[str, ...], words: str, demo_dir: Path, tmp_path: Path, cli: Cli
) -> None:
    """Wrong input ends with exit status 2 and one message on standard error."""
    places = {"unit": str(demo_dir / "dunlin-160.toml"), "tmp": str(tmp_path)}
    told = refused(cli, *(argument.format(**places) for argument in arguments))
    assert told.startswith("forkwright: ")
    assert words in told
    assert told.count("\n") == 1
