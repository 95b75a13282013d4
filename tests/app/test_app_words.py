"""What the pages say and offer without a browser: the story, the form, adjusters, units and colours."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from forkwright.app.adjusters import adjusters_of
from forkwright.app.demo_bench import demo_bench
from forkwright.app.drafts import Draft, DraftReader, edited_text
from forkwright.app.form import form_of
from forkwright.app.rendering import data_block
from forkwright.app.show_answer import show_answer
from forkwright.app.unit_table import CHOICES, unit_table
from forkwright.bench.spring import spring_curve
from forkwright.bench.valve_state import valves_at
from forkwright.hardware import Bike, Rider, Unit, load, load_unit
from forkwright.sheets import palette
from forkwright.units import UnitChoice, parse, to_unit

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
FORKS = ("dunlin-160", "plover-160")


def text_of(name: str) -> str:
    """Return the text of a demonstration file."""
    return (DEMO / f"{name}.toml").read_text(encoding="utf-8")


def steps_of(unit: Unit, units: UnitChoice | None = None) -> list[dict[str, Any]]:
    """Return the story of one unit for the demonstration rider and bike."""
    rider, bike = load(DEMO / "rider.toml"), load(DEMO / "bike.toml")
    assert isinstance(rider, Rider)
    assert isinstance(bike, Bike)
    draft = Draft(toml="", edits={})
    told = show_answer([unit], [draft], rider, bike, 1.0, units or UnitChoice())
    steps: list[dict[str, Any]] = told["sides"][0]["steps"]
    return steps


@pytest.mark.parametrize("name", FORKS)
def test_story_runs_through_the_stroke_in_order(name: str) -> None:
    """The way in is told by travel, ends at full travel, and the way back comes last."""
    steps = steps_of(load_unit(DEMO / f"{name}.toml"))
    inwards = [step["travel"] for step in steps if step["phase"] == "in"]
    assert inwards == sorted(inwards)
    assert inwards[-1] == pytest.approx(0.160)
    assert steps[-1]["phase"] == "out"


def test_story_tells_only_of_parts_that_are_there() -> None:
    """The floating piston is told of where there is one and it moves; the bumper not where there is none."""
    dunlin, plover = (load_unit(DEMO / f"{name}.toml") for name in FORKS)
    titles = {unit.name: [step["title"] for step in steps_of(unit)] for unit in (dunlin, plover)}
    assert "The floating piston moves" in titles["Plover 160"]
    assert "The floating piston moves" not in titles["Dunlin 160"]
    stiff = plover.model_copy(
        update={"setting": plover.setting.changed(floating=parse("300 psi", "pressure").si)}
    )
    moved = spring_curve(stiff).floating[-1]
    assert ("The floating piston moves" in [step["title"] for step in steps_of(stiff)]) == (moved > 1e-5)
    bare = dunlin.model_copy(update={"damper": None, "bumpers": type(dunlin.bumpers)()})
    left = [step["title"] for step in steps_of(bare)]
    assert "The bumper" not in left
    assert not any("Oil" in title for title in left)


def test_story_speaks_the_chosen_units() -> None:
    """The same story in bar and inches has no psi and no mm in it."""
    unit = load_unit(DEMO / "plover-160.toml")
    said = " ".join(step["sentence"] for step in steps_of(unit, UnitChoice(pressure="bar", length="in")))
    assert " bar" in said
    assert not re.search(r"psi|\bmm\b", said.replace("N/mm", ""))


def test_valves_at_a_speed_pass_what_the_shaft_displaces() -> None:
    """At the base valve flows the shaft's volume, at the piston the annulus' (continuity)."""
    unit = load_unit(DEMO / "dunlin-160.toml")
    assert unit.damper is not None
    shaft = np.pi / 4 * unit.damper.shaft.si**2
    ring = np.pi / 4 * unit.damper.tube.si**2 - shaft
    for speed in (0.3, -1.2):
        at = valves_at(unit, speed)
        assert at.base.bleed + at.base.leak + at.base.main == pytest.approx(shaft * abs(speed), rel=1e-6)
        assert at.piston.bleed + at.piston.leak + at.piston.main == pytest.approx(ring * abs(speed), rel=1e-6)
    closed = valves_at(unit, 0.5).across
    assert closed["rebound_valve"] == 0.0
    assert closed["base_valve"] > 0.0


@pytest.mark.parametrize("name", [*FORKS, "rider", "bike"])
def test_form_shows_every_entry_of_the_file(name: str) -> None:
    """Every key of a demonstration file outside its setting is in the form, with its own text and origin."""
    table = tomllib.loads(text_of(name))
    model = type(load(DEMO / f"{name}.toml"))
    shown = {field["path"]: field for section in form_of(table, model) for field in section["fields"]}

    def entries(part: dict[str, Any], prefix: str = "") -> list[tuple[str, Any]]:
        found = []
        for key, value in part.items():
            if prefix == "" and key in ("format", "kind", "setting"):
                continue
            if isinstance(value, dict) and "value" not in value:
                found += entries(value, f"{prefix}{key}.")
            else:
                found.append((prefix + key, value))
        return found

    for path, value in entries(table):
        field = shown[path]
        assert field["value"] == (value["value"] if isinstance(value, dict) else value)
        if isinstance(value, dict):
            assert field["origin"] == value.get("origin", "measured")


def test_edits_change_their_entry_and_nothing_else() -> None:
    """An edit replaces one value and keeps every comment; taking a part out and adding one work too."""
    text = text_of("dunlin-160")
    edits = {
        "air_spring.bore": {"value": "31.9 mm", "origin": "assumed"},
        "air_spring.seal_friction": None,
        "chassis.axle": "fixed",
        "bumpers.top_out": None,
        "setting.spacers": 3,
    }
    changed = edited_text(Draft(toml=text, edits=edits))
    assert [
        line.split("#")[1] for line in text.splitlines() if "#" in line and "seal_friction" not in line
    ] == [line.split("#")[1] for line in changed.splitlines() if "#" in line]
    table = tomllib.loads(changed)
    assert table["air_spring"]["bore"] == {"value": "31.9 mm", "origin": "assumed"}
    assert "seal_friction" not in table["air_spring"]
    assert "top_out" not in table["bumpers"]
    assert (table["chassis"]["axle"], table["setting"]["spacers"]) == ("fixed", 3)


def test_reader_gives_the_same_unit_with_and_without_memory() -> None:
    """A setting laid over the remembered unit gives what reading the whole edited file gives."""
    draft = Draft(toml=text_of("plover-160"), edits={"setting.pressure": "131 psi", "setting.rebound": 2})
    reader = DraftReader(4)
    first, again = reader.unit(draft), reader.unit(draft)
    whole = DraftReader(4).unit(Draft(toml=edited_text(draft), edits={}))
    assert first == again == whole
    assert first.fingerprint == whole.fingerprint


def test_adjusters_stay_within_what_the_file_allows() -> None:
    """Sliders end at the stated limits, and clicks at the adjuster's own."""
    unit = load_unit(DEMO / "plover-160.toml")
    found = {adjuster["path"]: adjuster for adjuster in adjusters_of(unit)}
    assert found["setting.pressure"]["high"] == pytest.approx(parse("180 psi", "pressure").si)
    assert found["setting.floating"]["high"] == pytest.approx(parse("300 psi", "pressure").si)
    assert found["setting.rebound"]["high"] == 14
    assert "setting.spacers" not in found


def test_unit_table_is_the_units_rooms_own() -> None:
    """The factors sent to the browser give the same numbers as the units room."""
    table = unit_table()
    for kind, symbols in CHOICES.items():
        for entry, symbol in zip(table[kind], symbols, strict=True):
            assert entry["symbol"] == symbol
            si = 273.15 + 17.0 if kind == "temperature" else 1234.5
            expected = to_unit(si, kind, UnitChoice(**{kind: symbol}))
            assert (si - entry["offset"]) / entry["factor"] == pytest.approx(expected, rel=1e-12)


def test_demo_bench_holds_two_forks_a_rider_and_a_bike() -> None:
    """A new browser finds both demonstration forks, forks first, and somebody to ride them."""
    found = demo_bench()
    names = [unit["name"] for unit in found["units"]]
    assert names[:2] == ["Dunlin 160", "Plover 160"]
    assert {"rider", "bike"} <= set(found)


def test_data_in_a_page_cannot_break_out_of_it() -> None:
    """Text that would end a script element is written so that it does not."""
    block = str(data_block({"name": "</script><script>alert(1)</script>\u2028"}))
    assert "</" not in block
    assert "\u2028" not in block


def _luminance(colour: str) -> float:
    """Relative luminance of sRGB (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_curve_colours_stand_out_from_their_paper(dark: bool) -> None:
    """Every curve colour has at least 3:1 against its paper (WCAG 2.2, success criterion 1.4.11)."""
    paper = _luminance(palette.DARK_PAPER if dark else palette.LIGHT_PAPER)
    for colour in palette.series_colours(dark=dark):
        other = _luminance(colour)
        assert (max(paper, other) + 0.05) / (min(paper, other) + 0.05) >= 3.0, colour
