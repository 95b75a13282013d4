"""The day, the pump's steps and the ride's options by the pages' calls: numbers and words of the commands."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.app_rides import ended
from tests.short_course import SHORT

import forkwright as fw
from forkwright.app.tuning.ride_fields import RideFields, ride_options
from forkwright.bench.conditions import Conditions
from forkwright.commands.options import QuantityType
from forkwright.commands.ride_options import ride_options_from

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
HEADERS = {"cookie": f"forkwright_bench={'e' * 32}"}
DAY = {"temperature": "-5 °C", "fill_temperature": "22 °C", "altitude": "1800 m", "fill_altitude": "200 m"}
ON_THE_DAY = ("--temp", "-5 °C", "--fill-temp", "22 °C", "--altitude", "1800 m", "--fill-altitude", "200 m")
Cli = Callable[..., tuple[int, str, str]]


def draft(name: str) -> dict[str, Any]:
    """A demonstration file as a browser sends it."""
    return {"toml": (DEMO / f"{name}.toml").read_text("utf-8"), "edits": {}, "name": name}


WHO = {"rider": draft("rider"), "bike": draft("bike")}
ONE = {"fork": draft("dunlin-160"), **WHO}
TWO = {"a": draft("dunlin-160"), "b": draft("plover-160"), **WHO}
BOTH = {"fork": draft("dunlin-160"), "shock": draft("linnet-65"), **WHO}
COURSE = {"toml": SHORT, "name": "short.toml"}


def asked(client: Any, path: str, question: dict[str, Any]) -> dict[str, Any]:
    """Ask a call; a job is waited for, and its result is the answer."""
    reply = client.post(path, json=question, headers=HEADERS)
    assert reply.status_code == 200, reply.text
    answer: dict[str, Any] = reply.json()
    if "job" in answer:
        account = ended(client, answer["job"], 240.0, headers=HEADERS)
        assert account["state"] == "done", account
        answer = client.get(f"/api/jobs/{answer['job']}/result", headers=HEADERS).json()
    return answer


def told(cli: Cli, command: str, *files: str, options: tuple[str, ...]) -> dict[str, Any]:
    """What the command line prints as JSON."""
    status, out, err = cli(command, *(DEMO / f"{name}.toml" for name in files), *options, "--json")
    assert status == 0, err
    found: dict[str, Any] = json.loads(out)
    return found


def test_a_match_on_a_day_with_a_coarse_pump(client: Any, cli: Cli) -> None:
    """Day and both steps of the pump reach the search, its bands and the curves that are drawn."""
    found = asked(client, "/api/match", TWO | {"day": DAY, "pump_step": "4 psi", "secondary_step": "3 psi"})
    steps = ("--pump-step", "4 psi", "--secondary-step", "3 psi")
    expected = told(cli, "match", "dunlin-160", "plover-160", options=(*ON_THE_DAY, *steps))
    for key in ("setting", "spring", "neighbours", "bands"):
        assert found[key] == expected[key], key
    day = Conditions.at(1800.0, 268.15, 200.0, 295.15)
    curve = fw.spring_curve(fw.load(DEMO / "dunlin-160.toml"), None, day)
    assert found["springs"]["a"]["force_N"] == pytest.approx(curve.force, rel=1e-6)


LOAD = {"load": "600 N", "side_load": "150 N", "samples": 128, "day": DAY}
UNDER_IT = ("--load", "600 N", "--side-load", "150 N", "--samples", "128", *ON_THE_DAY)


def test_an_uncertainty_under_a_stated_load_on_a_day(client: Any, cli: Cli) -> None:
    """Load, side load and day are the command line's."""
    found = asked(client, "/api/uncertainty", ONE | LOAD)
    expected = told(cli, "uncertainty", "dunlin-160", options=UNDER_IT)
    for key in ("nominal", "low", "high"):
        assert [one[key] for one in found["answers"]] == [one[key] for one in expected["answers"]]
    assert found["repeat_first"] == expected["repeat_first"]


@pytest.mark.slow
def test_a_verdict_on_another_unit_with_warm_oil(client: Any, cli: Cli) -> None:
    """Load, day and oil temperature reach both verdicts."""
    more = LOAD | {"oil_temperature": "45 °C", "against": draft("plover-160")}
    found = asked(client, "/api/uncertainty", ONE | more)
    against = ("--oil-temp", "45 °C", "--against", str(DEMO / "plover-160.toml"))
    expected = told(cli, "uncertainty", "dunlin-160", options=(*UNDER_IT, *against))
    assert found["verdict"] == expected["verdict"]
    assert found["damping_verdict"] == expected["damping_verdict"]


def test_both_ends_stand_on_the_day(client: Any, cli: Cli) -> None:
    """Figures at rest and the advice of the Balance page are those of `forkwright balance` on that day."""
    who = ("--rider", str(DEMO / "rider.toml"), "--bike", str(DEMO / "bike.toml"))
    expected = told(cli, "balance", "dunlin-160", "linnet-65", options=(*who, *ON_THE_DAY))
    found = asked(client, "/api/balance", BOTH | {"day": DAY})
    assert found["front"] == expected["front"]
    assert found["rear"] == expected["rear"]
    assert found["front"]["sag_m"] != asked(client, "/api/balance", BOTH)["front"]["sag_m"]
    advised = asked(client, "/api/balance/advice", BOTH | {"day": DAY})
    assert advised["advice"] == expected["advice"]


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"tyre_stiffness": "110 N/mm", "oil_temperature": "5 °C"},
        {"limbs": True, "isothermal": True, "oil_chambers": True, "stiffening": True},
    ],
)
def test_what_is_typed_is_what_the_command_line_reads(fields: dict[str, Any]) -> None:
    """The fields of a page make the same ride's options as the command line's."""
    given: dict[str, Any] = {
        "tyre_pressure": QuantityType("pressure").convert("24 psi", None, None), "tyre_stiffness": None,
        "oil_temp": None, "damping": None, "leverage": None,
        **{name: fields.get(name, False) for name in ("limbs", "isothermal", "oil_chambers", "stiffening")},
    }  # fmt: skip
    for name, option, kind in (
        ("tyre_stiffness", "tyre_stiffness", "stiffness"),
        ("oil_temperature", "oil_temp", "temperature"),
    ):
        if name in fields:
            given[option] = QuantityType(kind).convert(fields[name], None, None)
    assert ride_options(RideFields(**fields)) == ride_options_from(given)


OPTIONS = {
    "tyre_stiffness": "150 N/mm", "oil_temperature": "0 °C", "isothermal": True, "pump_step": "3 psi",
    "secondary_step": "2 psi", "bands": False,
}  # fmt: skip
AS_OPTIONS = (
    "--tyre-stiffness", "150 N/mm", "--oil-temp", "0 °C", "--isothermal", "--pump-step", "3 psi",
    "--secondary-step", "2 psi", "--draws", "0", "--rider", str(DEMO / "rider.toml"),
    "--bike", str(DEMO / "bike.toml"),
)  # fmt: skip


@pytest.mark.slow
def test_a_recommendation_with_the_rides_options(client: Any, cli: Cli, tmp_path: Path) -> None:
    """Day, tyre, oil, heat and pump lead to the setting that the command line recommends."""
    (tmp_path / "short.toml").write_text(SHORT, "utf-8")
    course = ("--course", str(tmp_path / "short.toml"))
    expected = told(cli, "recommend", "plover-160", options=(*course, *AS_OPTIONS, *ON_THE_DAY))
    question = ONE | {"fork": draft("plover-160"), "courses": [COURSE], "day": DAY} | OPTIONS
    found = asked(client, "/api/recommend", question)
    assert found["best"]["setting"] == expected["best"]["setting"]
    assert found["best"]["tyre_load_variation"] == expected["best"]["tyre_load_variation"]


@pytest.mark.slow
def test_a_race_with_the_rides_options(client: Any, cli: Cli, tmp_path: Path) -> None:
    """The plan of a race with tyre, oil, heat and pump is the command line's."""
    (tmp_path / "short.toml").write_text(SHORT, "utf-8")
    stage = ("--stage", f"One={tmp_path / 'short.toml'}@300 m")
    expected = told(cli, "stages", "dunlin-160", options=(*stage, *AS_OPTIONS))
    race = [{"name": "One", "course": COURSE, "altitude": "300 m"}]
    found = asked(client, "/api/stages", ONE | {"race": race} | OPTIONS)
    assert [one["setting"] for one in found["stages"]] == [one["setting"] for one in expected["stages"]]
    assert [one["cost"] for one in found["stages"]] == [one["cost"] for one in expected["stages"]]


PUMP = {"pump_step": "0 psi"}, "pump step: out of range; got '0 psi'; allowed: 0.01 psi to 20 psi"
COLD = {"day": {"temperature": "-200 °C"}}, "temperature: out of range; got '-200 °C'"
SEARCH = ONE | {"courses": [COURSE]}
RACE = ONE | {"race": [{"name": "One", "course": COURSE}]}


@pytest.mark.parametrize(
    ("path", "question", "wrong"),
    [
        ("/api/match", TWO, PUMP),
        ("/api/match", TWO, ({"secondary_step": "-1 psi"}, "secondary step: out of range")),
        ("/api/match", TWO, COLD),
        ("/api/recommend", SEARCH, PUMP),
        ("/api/recommend", SEARCH, COLD),
        ("/api/recommend", SEARCH, ({"tyre_stiffness": "0 N/mm"}, "stiffnesses must be above zero")),
        ("/api/recommend", SEARCH, ({"oil_temperature": "warm"}, "oil temperature: ")),
        (
            "/api/recommend",
            SEARCH,
            ({"oil_temperature": "300 °C"}, "oil temperature: out of range; got '300 °C'"),
        ),
        ("/api/uncertainty", ONE, ({"oil_temperature": "-99 °C"}, "oil temperature: out of range")),
        ("/api/stages", RACE, PUMP),
        ("/api/stages", RACE, ({"tyre_stiffness": "9 psi"}, "tyre stiffness: ")),
        ("/api/uncertainty", ONE, COLD),
        ("/api/uncertainty", ONE, ({"load": "heavy"}, "load: ")),
        ("/api/uncertainty", ONE, ({"side_load": "3 mm", "load": "5 N"}, "side load: ")),
        ("/api/balance", BOTH, COLD),
        ("/api/balance/advice", BOTH, COLD),
        ("/api/balance/ride", BOTH | {"course": COURSE}, COLD),
    ],
)
def test_what_cannot_be_is_refused_before_the_wait(
    client: Any, path: str, question: dict[str, Any], wrong: tuple[dict[str, Any], str]
) -> None:
    """The first wrong field is named, in the words of the command line."""
    more, words = wrong
    reply = client.post(path, json=question | more, headers=HEADERS)
    assert reply.status_code == 422, reply.text
    assert words in reply.json()["error"]


@pytest.mark.parametrize("step", ["--pump-step", "--secondary-step"])
@pytest.mark.parametrize("text", ["0 psi", "-1 psi", "500 psi"])
def test_the_command_line_refuses_a_pump_that_is_none(cli: Cli, step: str, text: str) -> None:
    """A step of nothing, below nothing or beyond any pump is named; it was a fault of ours before."""
    status, _, err = cli("match", DEMO / "dunlin-160.toml", DEMO / "plover-160.toml", f"{step}={text}")
    assert status == 2, err
    assert f"{step.strip('-').replace('-', ' ')}: out of range" in err


SHOCK = {"fork": draft("linnet-65"), "bike": draft("bike")}


@pytest.mark.parametrize(
    ("unit", "question", "options"),
    [
        ("dunlin-160", {"load": "600 N", "side_load": "150 N"}, ("--load", "600 N", "--side-load", "150 N")),
        ("plover-160", {"load": "0 N"}, ("--load", "0 N")),
        ("linnet-65", {"load": "1900 N"}, ("--load", "1900 N")),
        ("linnet-65", {"load": "1900 N", "bike": draft("bike")}, ("--load", "1900 N", "--bike")),
        ("pipit-65", {"wheel_load": "700 N", "bike": draft("bike")}, ("--wheel-load", "700 N", "--bike")),
    ],
)
def test_a_unit_rests_under_a_stated_load(
    client: Any, cli: Cli, unit: str, question: dict[str, Any], options: tuple[str, ...]
) -> None:
    """Sag at the unit and at the wheel, and the curve with the side load's friction, are the commands'."""
    found = asked(client, "/api/fork/sag", {"fork": draft(unit), "day": DAY} | question)
    bike = (str(DEMO / "bike.toml"),) if options[-1] == "--bike" else ()
    expected = told(cli, "sag", unit, options=(*options, *bike, *ON_THE_DAY))
    assert found["sag"] | (found["wheel_sag"] or {}) == expected
    side = ("--side-load", "150 N") if "side_load" in question else ()
    assert (
        found["spring"]["friction_N"] == told(cli, "spring", unit, options=(*side, *ON_THE_DAY))["friction_N"]
    )


def test_without_leverage_a_load_on_the_shaft_still_counts(client: Any) -> None:
    """A bike without its leverage says nothing of the wheel, and nothing else is lost."""
    bare = draft("bike") | {"edits": {"leverage": None}}
    found = asked(client, "/api/fork/sag", SHOCK | {"bike": bare, "load": "1900 N"})
    assert found["wheel_sag"] is None
    assert found["sag"] == asked(client, "/api/fork/sag", SHOCK | {"load": "1900 N"})["sag"]


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ({}, "give one load"),
        ({"load": "5 N", "wheel_load": "9 N"}, "give one load"),
        ({"load": "heavy"}, "load: "),
        ({"wheel_load": "9 mm"}, "wheel load: "),
        ({"wheel_load": "900 N", "bike": None}, "a load at the wheel needs the bike with its leverage"),
        ({"wheel_load": "900 N", "fork": draft("dunlin-160")}, "shock"),
        ({"load": "5 N", "side_load": "nan N"}, "side load: "),
        ({"load": "5 N", **COLD[0]}, COLD[1]),
    ],
)
def test_a_load_that_is_none_is_refused(client: Any, question: dict[str, Any], words: str) -> None:
    """One load, as a force; at the wheel only where there is a leverage."""
    reply = client.post("/api/fork/sag", json=SHOCK | question, headers=HEADERS)
    assert reply.status_code == 422, reply.text
    assert words in reply.json()["error"]


@pytest.mark.parametrize("load", ["-300 N", "1e12 N", "-1e12 N"])
@pytest.mark.parametrize("field", ["load", "wheel_load"])
def test_a_load_beyond_the_unit_is_no_fault_of_ours(client: Any, field: str, load: str) -> None:
    """Pulled, or pushed past its end, the unit rests at an end or the load is refused."""
    reply = client.post("/api/fork/sag", json=SHOCK | {field: load}, headers=HEADERS)
    if reply.status_code == 422:
        assert load in reply.json()["error"] or "load" in reply.json()["error"]
        return
    assert reply.status_code == 200, reply.text
    found = reply.json()
    rests, full = found["sag"]["sag_m"], found["spring"]["travel_m"][-1]
    assert rests == pytest.approx(0.0, abs=1e-3) if load.startswith("-") else rests == pytest.approx(full)
