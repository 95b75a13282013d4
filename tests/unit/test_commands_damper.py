"""The commands shims, damper, dyno and revalve: keys, published schemas, exit status, no traceback."""

from __future__ import annotations

import math

import pytest
from tests.command_line import answered, refused

import forkwright as fw

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


def test_shims_gives_the_handbook_disc(cli, tmp_path, check):
    """Two discs at their edges, by the handbook and by the plate's equation; stress grows with pressure."""
    file = tmp_path / "stack.toml"
    file.write_text(STACK.replace('"8 mm"', '"10 mm"'), "utf-8")
    wide = answered(cli, "shims", file, "--pressures", "1 bar")["opening_m"][0]
    check(
        formula="single disc on half its diameter: k",
        source="Timoshenko & Woinowsky-Krieger, Table 3 (from memory), a/b = 2",
        expected=0.0938, got=wide * 206e9 * 0.15e-3**3 / (1e5 * 10e-3**4), tolerance=0.51e-4, relative=False,
    )  # fmt: skip
    file.write_text(STACK, "utf-8")
    found = answered(cli, "shims", file, "--pressures", "0 bar, 1 bar, 2e5 Pa")
    assert found["pressure_Pa"] == [0.0, 1e5, 2e5]
    assert found["opening_m"][0] == found["stress_Pa"][0] == 0.0
    check(
        formula="single disc, 1 bar", source="derived from the plate equation, independent of this code",
        expected=277.0024, got=found["opening_m"][1] * 1e6, tolerance=2e-7, unit="um",
    )  # fmt: skip
    assert found["stress_Pa"][2] == pytest.approx(2 * found["stress_Pa"][1])
    assert found["stress_Pa"][1] > 1e6
    assert len(answered(cli, "shims", file)["pressure_Pa"]) == 41


def test_damper_has_the_published_keys(cli):
    """Lists of equal length under the published keys, at the speeds and clicks asked for."""
    file = fw.demo_file("dunlin-160")
    given = ("--low-speed", "2", "--high-speed", "1", "--rebound", "3", "--oil-temp", "40 °C")
    found = answered(cli, "damper", file, *given, "--speeds", "-1,0,0.5 m/s,2 m/s", "--clicks")
    keys = (
        "speed_m_s", "force_N", "compression_chamber_Pa", "shaft_chamber_Pa", "reservoir_Pa",
        "cavitation_margin_Pa",
    )  # fmt: skip
    assert {len(found[key]) for key in keys} == {4}
    assert found["speed_m_s"] == [-1.0, 0.0, 0.5, 2.0]
    assert found["force_N"] == sorted(found["force_N"])
    assert found["clicks"] == {"low_speed": 2, "high_speed": 1, "rebound": 3}
    assert found["oil_temperature_K"] == pytest.approx(313.15)
    assert isinstance(found["warnings"], list)
    assert len(found["click_effects"]) == 6
    own = answered(cli, "damper", file)
    assert len(own["speed_m_s"]) == 201
    assert own["clicks"] == {"low_speed": 8, "high_speed": 4, "rebound": 6}


def test_dyno_gives_loops_and_energy(cli):
    """Sine and step: equal lists, whole cycles, energy of the loop that is given."""
    file = fw.demo_file("plover-160")
    sine = answered(cli, "dyno", file, "--duration", "1.25 s", "--points", "500")
    step = answered(cli, "dyno", file, "--test", "step", "--cycles", "1", "--hold", "0.05 s")
    histories = (
        "time_s", "travel_m", "speed_m_s", "force_N", "compression_chamber_Pa", "shaft_chamber_Pa",
        "reservoir_Pa", "cavitation_margin_Pa", "oil_temperature_K",
    )  # fmt: skip
    for run, cycles, seconds in ((sine, 2, 1.25), (step, 1, 0.2)):
        assert len({len(run[key]) for key in histories}) == 1
        each_cycle = [key for key in run if key.startswith("cycle_")]
        assert {len(run[key]) for key in each_cycle} == {cycles}
        assert "cycle_energy_J" in each_cycle
        assert run["time_s"][-1] == pytest.approx(seconds, rel=0.01)
        assert run["travel_m"][-1] == pytest.approx(min(run["travel_m"]), abs=1e-6)
        assert max(run["travel_m"]) - min(run["travel_m"]) == pytest.approx(0.05, abs=1e-6)
    half = len(sine["travel_m"]) // 2
    x, f = sine["travel_m"][half:], sine["force_N"][half:]
    area = sum((f[i] + f[i - 1]) / 2 * (x[i] - x[i - 1]) for i in range(len(x)))
    assert area == pytest.approx(sine["cycle_energy_J"][1], rel=0.02)
    assert (sine["test"], step["test"]) == ("sine", "step")
    assert (min(step["speed_m_s"]), max(step["speed_m_s"])) == pytest.approx((-1.0, 1.0))


def test_revalve_proposes_and_counts(cli, tmp_path):
    """Proposals from the nearest on, each with its forces, misses and stress; and what was searched."""
    drawer = tmp_path / "drawer.toml"
    drawer.write_text(DRAWER, "utf-8")
    unit = fw.demo_file("dunlin-160")
    given = ("--valve", "base", "--drawer", drawer, "--target", "0.5 m/s: 170 N", "--target", "2: 500 N")
    found = answered(cli, "revalve", unit, *given)
    assert found["exhaustive"]
    assert found["searched"] == found["possible"] == 6
    errors = [one["error"] for one in found["proposals"]]
    assert errors == sorted(errors)
    for one in found["proposals"]:
        misses = [force - wanted for force, wanted in zip(one["force_N"], (170.0, 500.0), strict=True)]
        assert one["difference_N"] == pytest.approx(misses)
        assert one["error"] == pytest.approx(math.hypot(misses[0] / 170, misses[1] / 500) / math.sqrt(2))
        assert 0.0 < one["stress_Pa"] < one["yield_stress_Pa"]
    status, out, _ = cli("revalve", unit, *given)
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
        (("dyno", "{dunlin}", "--duration", "30 s", "--centre", "10 mm"), "leaves the travel"),
        (("revalve", "{dunlin}", "--valve", "base", "--drawer", "{drawer}", "--target", "1 m/s"), "--target"),
        (
            ("revalve", "{dunlin}", "--valve", "base", "--drawer", "{drawer}", "--target", "-1: 5 N"),
            "compression",
        ),
    ],
)
def test_wrong_input_ends_with_status_two_and_one_line(cli, tmp_path, arguments, words):
    """The message names what is wrong; no traceback, nothing on standard output."""
    places = {"dunlin": fw.demo_file("dunlin-160"), "nothing": tmp_path / "nothing.toml"}
    for name, text in (("stack", STACK), ("drawer", DRAWER)):
        places[name] = tmp_path / f"{name}.toml"
        places[name].write_text(text, "utf-8")
    told = refused(cli, *(argument.format(**places) for argument in arguments), "--json")
    assert told.startswith("forkwright: ")
    assert words in told
    assert told.count("\n") == 1
