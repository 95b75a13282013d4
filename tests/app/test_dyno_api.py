"""The dynamometer and the tables of the Damper page over the API, against the command line's own answers."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.app.test_options_api import asked

from forkwright.app.damper_shapes import ClicksAnswer, OpeningsAnswer, SpeedsAnswer
from forkwright.app.dynamometer import MOST_STEPS
from forkwright.app.dyno_shapes import DynoAnswer
from forkwright.bench.conditions import Conditions
from forkwright.bench.damping import damping_curve
from forkwright.bench.dyno import check_length, sine_cycles
from forkwright.commands.damper import command as damper_command
from forkwright.commands.dyno import command as dyno_command
from forkwright.hardware import load_unit
from forkwright.units import InputError

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
DUNLIN = DEMO / "dunlin-160.toml"
FORK = {"toml": DUNLIN.read_text(encoding="utf-8"), "edits": {}, "name": str(DUNLIN)}
EVERY_STEP = 5000
PLACE = {"position": "20 mm", "altitude": "2400 m", "oil_temperature": "5 °C"}
PLACE_OPTIONS = ("--position", "20 mm", "--altitude", "2400 m", "--oil-temp", "5 °C")


def told(command: Any, *options: str) -> dict[str, Any]:
    """Return what a command prints about the demonstration fork."""
    ran = CliRunner().invoke(command, [str(DUNLIN), *options, "--json"], catch_exceptions=False)
    found: dict[str, Any] = json.loads(ran.output)
    return found


def run(client: Any, **asked: Any) -> dict[str, Any]:
    """Return the answer of a run, waited for."""
    taken = client.post("/api/damper/dyno", json={"fork": FORK, **asked})
    assert taken.status_code == 200, taken.text
    key = taken.json()["job"]
    cookie = {"cookie": taken.headers["set-cookie"].split(";")[0]}
    for _ in range(400):
        if client.get(f"/api/jobs/{key}", headers=cookie).json()["state"] == "done":
            break
        time.sleep(0.02)
    answer = client.get(f"/api/damper/dyno/{key}", headers=cookie)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    DynoAnswer.model_validate(found)
    return found


WIDE = ("--amplitude", "40 mm")
TESTS = {
    "sine": {"amplitude": "30 mm", "frequency": "2 Hz", "duration": "2 s"},
    "step": {"stroke": "40 mm", "speed": "0.5 m/s", "hold": "0.05 s", "cycles": 3},
}


@pytest.mark.parametrize("test", list(TESTS))
def test_a_run_is_the_command_lines(client: Any, test: str) -> None:
    """Every point of the loops is a step of `forkwright dyno`; what is told of the cycles is its, too."""
    asked = TESTS[test]
    options = [part for name, text in asked.items() for part in (f"--{name}", str(text))]
    around = {"centre": "70 mm", "oil_temperature": "30 °C", "air_temperature": "10 °C", "altitude": "2000 m"}
    given = ("--centre", "70 mm", "--oil-temp", "30 °C", "--air-temp", "10 °C", "--altitude", "2000 m")
    found = run(client, test=test, **asked, **around)
    expected = told(dyno_command, "--test", test, *options, *given, "--points", str(EVERY_STEP))
    totals = expected.keys() & found.keys()
    assert totals >= {
        "cycle_energy_J",
        "cycle_temperature_K",
        "fade",
        "hysteresis_N_m_s",
        "widest_N",
        "void_m3",
    }
    assert {name: found[name] for name in totals} == {name: expected[name] for name in totals}
    at = {round(moment, 9): step for step, moment in enumerate(expected["time_s"])}
    cycles = len(expected["cycle_energy_J"])
    assert [loop["cycle"] for loop in found["loops"]] == [1, 2, cycles]
    for loop in found["loops"]:
        steps = [at[round(moment, 9)] for moment in loop["time_s"]]
        for name in loop.keys() - {"cycle"}:
            assert loop[name] == [expected[name][step] for step in steps]
    assert found["margin_lowest_Pa"] == min(expected["cavitation_margin_Pa"])


def test_a_later_cycle_is_a_closed_loop(client: Any) -> None:
    """A cycle after the first begins where it ends: same travel, and the time between is one cycle."""
    found = run(client, duration="2 s")
    last = found["loops"][-1]
    assert last["travel_m"][0] == pytest.approx(last["travel_m"][-1], abs=1e-9)
    assert last["time_s"][-1] - last["time_s"][0] == pytest.approx(found["cycle_s"])


@pytest.mark.parametrize(
    ("asked", "options", "key"),
    [
        ({"amplitude": "90 mm"}, ("--amplitude", "90 mm"), "amplitude"),
        ({"amplitude": "40 mm", "frequency": "49 Hz"}, ("--frequency", "49 Hz", *WIDE), "peak speed"),
        ({"centre": "10 mm"}, ("--centre", "10 mm"), "centre"),
        ({"frequency": "fast"}, ("--frequency", "fast"), "frequency"),
        ({"stroke": "30 mm"}, ("--stroke", "30 mm"), "stroke"),
        ({"test": "step", "duration": "3 s"}, ("--test", "step", "--duration", "3 s"), "duration"),
        ({"test": "step", "cycles": 0}, ("--test", "step", "--cycles", "0"), "cycles"),
    ],
)  # fmt: skip
def test_wrong_tests_are_refused_in_the_commands_words(
    client: Any, asked: dict[str, Any], options: tuple[str, ...], key: str
) -> None:
    """At once, before any wait, in the sentence of `forkwright dyno` and with the field that is wrong."""
    refused = client.post("/api/damper/dyno", json={"fork": FORK, **asked})
    assert refused.status_code == 422
    assert refused.json()["key"].startswith(key)
    with pytest.raises(InputError) as fault:
        told(dyno_command, *options)
    assert str(fault.value).replace("--", "") == refused.json()["error"]


def test_a_run_too_long_for_a_page_is_refused(client: Any) -> None:
    """Its memory would be the server's: refused before it starts, with how long it may be."""
    long_rests = {"test": "step", "hold": "60 s", "cycles": 900}
    for test, key in (({"duration": "3600 s"}, "duration"), (long_rests, "cycles")):
        refused = client.post("/api/damper/dyno", json={"fork": FORK, **test})
        assert refused.status_code == 422
        assert refused.json()["key"] == key
        assert f"{MOST_STEPS:,} time steps" in refused.json()["allowed"]


def test_a_run_too_long_for_any_is_refused_by_the_command_too() -> None:
    """Key, value and what is allowed are named, and what is allowed is taken; the page sends nobody on."""
    for options, key, value, allowed in (
        (
            ("--frequency", "50 Hz", "--amplitude", "5 mm", "--duration", "3600 s"),
            "duration",
            "3600 s",
            "160 s",
        ),
        (("--test", "step", "--hold", "60 s", "--cycles", "900"), "cycles", "900", "33"),
        (
            ("--test", "step", "--stroke", "0.1 mm", "--speed", "12 m/s", "--hold", "60 s"),
            "cycles",
            "2",
            "rest",
        ),
    ):
        with pytest.raises(InputError) as fault:
            told(dyno_command, *options)
        assert (fault.value.key, fault.value.value) == (key, value)
        assert f"{allowed} here, for 20,000,000 time steps" in str(fault.value.allowed)
    check_length("duration", 160.0, "s", 8000 * sine_cycles(load_unit(DUNLIN), 5e-3, 50.0, 160.0)[1])


def test_a_page_sends_no_run_to_a_command_that_refuses_it(client: Any) -> None:
    """Where the command line takes the run, it is named; where it does not, it is not."""
    for duration, named in (("100 s", True), ("3600 s", False)):
        asked = {"frequency": "50 Hz", "amplitude": "5 mm", "duration": duration}
        error = client.post("/api/damper/dyno", json={"fork": FORK, **asked}).json()["error"]
        assert error.startswith("duration: too long a run for a page")
        assert ("the command line takes it" in error) == named
        assert "up to 16 s here" in error


@pytest.mark.parametrize("oil", ["900 °C", "-80 °C"])
def test_oil_that_no_damper_holds_is_refused_alike(client: Any, oil: str) -> None:
    """`damper`, `dyno` and the pages of both refuse it in the same words."""
    words = f"oil temperature: out of range; got '{oil}'; allowed: -70 to 200 °C"
    for command in (damper_command, dyno_command):
        with pytest.raises(InputError) as fault:
            told(command, "--oil-temp", oil)
        assert str(fault.value) == words
    for path in ("/api/damper", "/api/damper/dyno"):
        refused = client.post(path, json={"fork": FORK, "oil_temperature": oil})
        assert (refused.status_code, refused.json()["error"]) == (422, words)


def test_a_place_is_the_command_lines(client: Any) -> None:
    """Position, altitude and oil give the curve of `forkwright damper`, and the same force at one speed."""
    expected = told(damper_command, *PLACE_OPTIONS)
    asked = {"fork": FORK, **PLACE, "speed_m_s": 1.0}
    found = client.post("/api/damper", json=asked).json()
    del expected["by_path_N"]
    assert found["damping"] == expected
    at = expected["speed_m_s"].index(1.0)
    assert found["at_speed"]["force_N"] == pytest.approx(expected["force_N"][at], rel=1e-9)
    motion = found["at_speed"]["cutaway"]["motion"]
    assert motion["travel_mm"] == [20.0]
    outside = expected["compression_chamber_Pa"][at] - motion["pressures"]["compression"][0]
    assert outside == pytest.approx(75_634, rel=1e-3)  # US Standard Atmosphere 1976, 2400 m


def test_speeds_are_the_command_lines(client: Any) -> None:
    """Speeds typed in any order come back in it, with what `forkwright damper --speeds` says of them."""
    text = "1, -0.3 m/s, 900 mm/s"
    found = client.post("/api/damper/speeds", json={"fork": FORK, **PLACE, "speeds": text}).json()
    SpeedsAnswer.model_validate(found)
    expected = told(damper_command, *PLACE_OPTIONS, "--speeds", text)
    del expected["by_path_N"]
    assert found == {"damping": expected, "wheel": None}
    for wrong in ("1,,2", "500", "fast"):
        refused = client.post("/api/damper/speeds", json={"fork": FORK, "speeds": wrong})
        with pytest.raises(InputError) as fault:
            told(damper_command, "--speeds", wrong)
        assert refused.json()["error"] == str(fault.value).replace("--", "")


def test_clicks_are_the_command_lines(client: Any) -> None:
    """What one click changes, as `forkwright damper --clicks` says it."""
    found = client.post("/api/damper/clicks", json={"fork": FORK}).json()
    ClicksAnswer.model_validate(found)
    assert found["effects"] == told(damper_command, "--clicks")["click_effects"]


def test_clicks_are_those_of_stretching_shims_where_they_stretch(client: Any) -> None:
    """Oil, place and stretching reach the clicks of command and page alike; stretched, they are a job."""
    options = (*PLACE_OPTIONS, "--stiffening", "--clicks", "--speeds", "3")
    expected = told(damper_command, *options)["click_effects"]
    found = asked(client, "/api/damper/clicks", {"fork": FORK, **PLACE, "stiffening": True})
    assert found["effects"] == expected
    unit, more = load_unit(DUNLIN), {"low_speed": 7}
    high = {"position": 0.02, "ambient_pressure": Conditions.at(2400.0).ambient_pressure, "stiffening": True}
    before, after = (
        damping_curve(unit, unit.setting.changed(**turned), 278.15, [2.0], **high).force[0]
        for turned in ({}, more)
    )
    one = next(each for each in found["effects"] if (each["adjuster"], each["step"]) == ("low_speed", -1))
    assert one["force_change_N"][one["speed_m_s"].index(2.0)] == pytest.approx(after - before, rel=1e-9)


def test_stacks_open_as_the_damper_opens_them(client: Any) -> None:
    """Each stack's opening grows from zero, a click more of high speed lets the base valve open wider."""
    found = client.post("/api/damper/openings", json={"fork": FORK}).json()
    OpeningsAnswer.model_validate(found)
    base = {stack["table"]: stack for stack in found["stacks"]}["base_valve"]
    assert base["pressure_Pa"][::20] == [0.0, 10e5, 20e5]
    assert base["opening_m"][0] == 0.0
    assert all(low <= high for low, high in zip(base["opening_m"], base["opening_m"][1:], strict=False))
    softer = {**FORK, "edits": {"setting.high_speed": 5}}
    wider = client.post("/api/damper/openings", json={"fork": softer}).json()["stacks"]
    opened = {stack["table"]: stack["opening_m"][-1] for stack in wider}
    assert opened["base_valve"] > base["opening_m"][-1]
    refused = client.post("/api/damper/openings", json={"fork": FORK, "stiffening": True})
    assert refused.json()["key"] == "stiffening"
