"""The commands shims, damper, dyno and revalve: keys, published schemas, exit status, no traceback."""

from __future__ import annotations

import json
import math
from pathlib import Path

import jsonschema
import pytest

import forkwright as fw
from forkwright.cli import main

SCHEMAS = Path(__file__).parents[2] / "docs" / "schemas"
STACK = """
bore = "6 mm"
clamp = "8 mm"
seat = "20 mm"
load = { inner = "8 mm", outer = "20 mm" }
shims = ["20.0 x 0.15 mm"]
youngs_modulus = "206 GPa"
poisson = 0.3
"""
DRAWER = 'shims = [{ size = "19.0 x 0.20 mm", count = 3 }, "15.0 x 0.20 mm"]'


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    """Run the command line; return exit status, standard output and standard error."""
    status = 0
    try:
        main(list(arguments))
    except SystemExit as end:
        status = int(end.code or 0)
    out, err = capsys.readouterr()
    return status, out, err


def answer(capsys, name: str, *arguments: str) -> dict:
    """One JSON object and nothing else, valid against the published schema."""
    status, out, err = run(capsys, name, *arguments, "--json")
    assert status == 0, err
    found = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} in the answer"))
    jsonschema.validate(found, json.loads((SCHEMAS / f"{name}.json").read_text("utf-8")))
    return found


def test_shims_gives_the_handbook_disc(capsys, tmp_path, check):
    """One disc, 277.0024 um per bar at the edge; from zero at zero; stress grows with pressure."""
    file = tmp_path / "stack.toml"
    file.write_text(STACK, "utf-8")
    found = answer(capsys, "shims", str(file), "--pressures", "0 bar, 1 bar, 2e5 Pa")
    assert found["pressure_Pa"] == [0.0, 1e5, 2e5]
    assert found["opening_m"][0] == found["stress_Pa"][0] == 0.0
    check(
        formula="single disc, 1 bar", source="derived from plate theory", expected=277.0024,
        got=found["opening_m"][1] * 1e6, tolerance=1e-5, unit="um",
    )  # fmt: skip
    assert found["stress_Pa"][2] == pytest.approx(2 * found["stress_Pa"][1])
    assert len(answer(capsys, "shims", str(file))["pressure_Pa"]) == 41


def test_damper_has_the_contracts_keys(capsys):
    """Lists of equal length under the contract's keys, at the speeds and clicks asked for."""
    file = fw.demo_file("dunlin-160")
    given = ("--low-speed", "2", "--high-speed", "1", "--rebound", "3", "--oil-temp", "40 °C")
    found = answer(capsys, "damper", str(file), *given, "--speeds", "-1,0,0.5 m/s,2 m/s", "--clicks")
    keys = (
        "speed_m_s", "force_N", "compression_chamber_Pa", "shaft_chamber_Pa", "reservoir_Pa",
        "cavitation_margin_Pa",
    )  # fmt: skip
    assert {len(found[key]) for key in keys} == {4}
    assert found["speed_m_s"] == [-1.0, 0.0, 0.5, 2.0]
    assert found["clicks"] == {"low_speed": 2, "high_speed": 1, "rebound": 3}
    assert found["oil_temperature_K"] == pytest.approx(313.15)
    assert isinstance(found["warnings"], list)
    assert len(found["click_effects"]) == 6
    assert len(answer(capsys, "damper", str(file))["speed_m_s"]) == 201


def test_dyno_gives_loops_and_energy(capsys):
    """Sine and step: equal lists, whole cycles, energy of the loop that is given."""
    file = fw.demo_file("plover-160")
    sine = answer(capsys, "dyno", str(file), "--duration", "1.25 s", "--points", "500")
    assert len(sine["cycle_energy_J"]) == 2
    half = len(sine["travel_m"]) // 2
    x, f = sine["travel_m"][half:], sine["force_N"][half:]
    area = sum((f[i] + f[i - 1]) / 2 * (x[i] - x[i - 1]) for i in range(len(x)))
    assert area == pytest.approx(sine["cycle_energy_J"][1], rel=0.02)
    step = answer(capsys, "dyno", str(file), "--test", "step", "--cycles", "1", "--hold", "0.05 s")
    assert step["test"] == "step"
    assert max(step["speed_m_s"]) == pytest.approx(1.0)


def test_revalve_proposes_and_counts(capsys, tmp_path):
    """Proposals with forces and stress, and what was searched."""
    drawer = tmp_path / "drawer.toml"
    drawer.write_text(DRAWER, "utf-8")
    given = ("--valve", "base", "--drawer", str(drawer), "--target", "0.5 m/s: 170 N", "--target", "2: 500 N")
    found = answer(capsys, "revalve", str(fw.demo_file("dunlin-160")), *given)
    assert found["exhaustive"]
    assert found["searched"] == found["possible"] == 6
    assert all(math.isfinite(value) for value in found["proposals"][0]["force_N"])
    status, out, _ = run(capsys, "revalve", str(fw.demo_file("dunlin-160")), *given)
    assert status == 0
    assert "6 of 6 possible stacks" in out
    assert "maker's" in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("damper", "{dunlin}", "--low-speed", "-1"), "--low-speed: a needle cannot go below closed"),
        (("damper", "{dunlin}", "--low-speed", "99"), "0 to 16"),
        (("damper", "{dunlin}", "--oil-temp", "20 bar"), "--oil-temp"),
        (("damper", "{dunlin}", "--speeds", "1,fast"), "--speeds"),
        (("damper", "{dunlin}", "--speeds", "nan"), "--speeds"),
        (("damper", "{dunlin}", "--position", "200 mm"), "outside the travel"),
        (("damper", "{nothing}"), "cannot be read"),
        (("dyno", "{dunlin}", "--amplitude", "90 mm"), "amplitude"),
        (("dyno", "{dunlin}", "--frequency", "40 Hz", "--amplitude", "60 mm"), "peak speed"),
        (("dyno", "{dunlin}", "--centre", "10 mm"), "leaves the travel"),
        (("dyno", "{dunlin}", "--stroke", "30 mm"), "only in a step test"),
        (("dyno", "{dunlin}", "--test", "step", "--amplitude", "30 mm"), "only in a sine test"),
        (("shims", "{dunlin}"), "unknown key"),
        (("shims", "{stack}", "--pressures", "-1 bar"), "one way only"),
        (("shims", "{stack}", "--pressures", "1 mm"), "--pressures"),
        (("revalve", "{dunlin}", "--valve", "base", "--drawer", "{drawer}", "--target", "1 m/s"), "--target"),
        (
            ("revalve", "{dunlin}", "--valve", "base", "--drawer", "{drawer}", "--target", "-1: 5 N"),
            "compression",
        ),
    ],
)
def test_wrong_input_ends_with_status_two_and_one_line(capsys, tmp_path, arguments, words):
    """The message names what is wrong; no traceback, nothing on standard output."""
    places = {"dunlin": fw.demo_file("dunlin-160"), "nothing": tmp_path / "nothing.toml"}
    for name, text in (("stack", STACK), ("drawer", DRAWER)):
        places[name] = tmp_path / f"{name}.toml"
        places[name].write_text(text, "utf-8")
    filled = [argument.format(**places) for argument in arguments]
    status, out, err = run(capsys, *filled, "--json")
    assert status == 2, (out, err)
    assert out == ""
    assert "Traceback" not in err
    assert words in err
