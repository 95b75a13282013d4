"""The API's answers are what its description says, and the comparison's are the command line's."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from forkwright.app.answer_shapes import ForkAnswer, ForkBandAnswer
from forkwright.app.compare_shapes import CompareAnswer, SideAnswer
from forkwright.app.damper_shapes import (
    DamperAnswer,
    DamperBandAnswer,
    MapAnswer,
    SpeedAnswer,
    StacksAnswer,
)
from forkwright.app.show_shapes import ShowAnswer
from forkwright.commands.compare import command as compare_command
from forkwright.commands.spring import command as spring_command

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"


def draft(name: str, **edits: Any) -> dict[str, Any]:
    """Return a demonstration file as a browser sends it."""
    return {"toml": (DEMO / f"{name}.toml").read_text(encoding="utf-8"), "edits": edits, "name": name}


RIDER, BIKE = draft("rider"), draft("bike")
UNITS = ("dunlin-160", "plover-160", "linnet-65", "pipit-65")


def asked(client: Any, path: str, question: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to a question; it must be one."""
    answer = client.post(path, json=question)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_every_call_describes_its_answer(client: Any) -> None:
    """Every answer in JSON has a named model, and it and every model in it says what it holds."""
    told = client.get("/openapi.json").json()
    models = told["components"]["schemas"]
    silent, asked = [], 0
    for path, calls in told["paths"].items():
        for method, call in calls.items():
            for status, answer in call["responses"].items():
                answered = answer.get("content", {}).get("application/json")
                if not status.startswith("2") or answered is None:
                    continue
                asked += 1
                names = set(NAMED.findall(json.dumps(answered["schema"])))
                if "$ref" not in answered["schema"]:
                    silent.append(f"{method} {path}: no model")
                silent += [f"{name}: no words" for name in within(names, models) if not said(models[name])]
    assert not silent
    assert asked > 70


NAMED = re.compile(r'"#/components/schemas/([^"]+)"')


def within(names: set[str], models: dict[str, Any]) -> set[str]:
    """Return the names of models, and of all models that those are made of."""
    found: set[str] = set()
    while names:
        found |= names
        names = {inner for name in names for inner in NAMED.findall(json.dumps(models[name]))} - found
    return found


def said(model: dict[str, Any]) -> bool:
    """Whether a model says what it holds; a list of allowed words speaks for itself."""
    return bool(model.get("description")) or "enum" in model


@pytest.mark.parametrize("name", UNITS)
def test_answers_about_one_unit_are_as_described(client: Any, name: str) -> None:
    """Spring, damper, stacks, map, bands, side and show hold the described keys and no other."""
    fork, people = {"fork": draft(name)}, {"rider": RIDER, "bike": BIKE}
    for path, more, shape in (
        ("/api/fork", people, ForkAnswer),
        ("/api/fork/bands", {"draws": 50}, ForkBandAnswer),
        ("/api/damper", {"speed_m_s": 1.0, "bike": BIKE}, DamperAnswer),
        ("/api/damper/speed", {"speed_m_s": -1.0}, SpeedAnswer),
        ("/api/damper/stacks", {}, StacksAnswer),
        ("/api/damper/map", {"adjuster": "rebound"}, MapAnswer),
        ("/api/damper/bands", {"draws": 20}, DamperBandAnswer),
        ("/api/compare/side", people, SideAnswer),
    ):
        shape.model_validate(asked(client, path, fork | more))
    ShowAnswer.model_validate(asked(client, "/api/show", {"forks": [draft(name)]} | people))


DAY = {"temperature": "4 °C", "fill_temperature": "21 °C", "altitude": "1800 m", "fill_altitude": "250 m"}
DAY_OPTIONS = ["--temp", "4 °C", "--fill-temp", "21 °C", "--altitude", "1800 m", "--fill-altitude", "250 m"]


def test_the_day_is_the_command_lines(client: Any) -> None:
    """Gas temperatures and altitudes move the spring as they do for `forkwright spring`, slow and fast."""
    found = asked(client, "/api/fork", {"fork": draft("dunlin-160"), "day": DAY, "exponent": 1.4})["spring"]
    file = str(DEMO / "dunlin-160.toml")
    ran = CliRunner().invoke(spring_command, [file, *DAY_OPTIONS, "--exponent", "1.4", "--json"])
    assert ran.exit_code == 0, ran.output
    assert found == {key: value for key, value in json.loads(ran.stdout).items() if key in found}
    usual = asked(client, "/api/fork", {"fork": draft("dunlin-160")})["spring"]
    assert usual["force_N"] != found["force_N"]


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [("temperature", "400 °C", "-100 °C to 150 °C"), ("fill_altitude", "3 psi", "measures pressure")],
)
def test_an_impossible_day_is_refused_at_its_field(client: Any, field: str, text: str, words: str) -> None:
    """A gas too hot and an altitude in psi are refused, and the answer names the field."""
    refused = client.post("/api/fork", json={"fork": draft("dunlin-160"), "day": DAY | {field: text}})
    assert refused.status_code == 422
    assert refused.json()["key"] == field
    assert words in refused.json()["error"]


def test_comparison_is_the_command_lines(client: Any) -> None:
    """Each fork has its own load, less its damper's gas, as `forkwright compare` has it; all else too."""
    a, b = UNITS[:2]
    question = {"a": draft(a), "b": draft(b), "rider": RIDER, "bike": BIKE, "day": DAY}
    found = asked(client, "/api/compare", question | {"draws": 500})
    CompareAnswer.model_validate(found)
    files = [str(DEMO / f"{name}.toml") for name in (a, b)]
    people = ["--rider", str(DEMO / "rider.toml"), "--bike", str(DEMO / "bike.toml"), *DAY_OPTIONS]
    ran = CliRunner().invoke(compare_command, [*files, *people, "--draws", "500", "--json"])
    assert ran.exit_code == 0, ran.output
    told = json.loads(ran.stdout)
    assert found["a"]["sag"]["load_N"] != found["b"]["sag"]["load_N"]
    for key, value in told.items():
        if key not in ("a", "b"):
            assert found[key] == value, key
    for side in ("a", "b"):
        for key, value in told[side].items():
            assert found[side][key] == value, key


def test_moved_click_brings_what_the_page_does_not_have(client: Any) -> None:
    """One answer holds curve, paths and drawings; drawings that the page has by their key are left out."""
    question = {"fork": draft("dunlin-160"), "speed_m_s": 1.0}
    first = asked(client, "/api/damper", question)["at_speed"]
    assert first == asked(client, "/api/damper/speed", question)
    assert all(stack["svg"].startswith("<svg") for stack in first["stacks"])
    known = {stack["table"]: stack["key"] for stack in first["stacks"]} | {"cutaway": first["cutaway"]["key"]}
    turned = {"fork": draft("dunlin-160", **{"setting.low_speed": 9}), "speed_m_s": 1.0, "drawn": known}
    second = asked(client, "/api/damper", turned)["at_speed"]
    assert second["cutaway"]["svg"] is None
    assert second["cutaway"]["motion"]["pressures"] != first["cutaway"]["motion"]["pressures"]
    moved = {stack["table"] for stack in second["stacks"] if stack["svg"] is not None}
    pairs = zip(second["stacks"], first["stacks"], strict=True)
    differ = {now["table"] for now, before in pairs if now["key"] != before["key"]}
    assert moved == differ
    assert "base_valve" in moved
