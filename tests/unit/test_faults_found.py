"""Faults that hunting found, each kept as a small case that failed before it was mended."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.fuzz.unit_files import judge

from forkwright.bench.damping import damping_curve
from forkwright.hardware.files import examine, load_unit
from forkwright.physics import Unphysical


@pytest.mark.parametrize("kind", ["[]", "{}", "[[1]]", "1", "true", '{ value = "fork" }'])
def test_a_kind_that_is_no_text_is_refused_in_words(kind: str) -> None:
    """A list or table under `kind` ended in a traceback."""
    errors, found = examine(f"format = 1\nkind = {kind}\n", "spoiled.toml")
    assert found is None
    assert "unknown kind of file" in str(errors[0])


def test_an_oil_that_would_be_a_solid_is_refused(demo_dir: Path) -> None:
    """Two points that lie badly gave a viscosity beyond the largest number, and a traceback."""
    text = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    sound = '{ temperature = "40 °C", viscosity = "15.0 ± 0.3 cSt" }'
    assert sound in text
    text = text.replace(sound, '{ temperature = "80.6 °C", viscosity = "231.4 cSt" }')
    errors, unit = examine(text)
    assert not errors
    with pytest.raises(Unphysical, match="thicker than 2e7 cSt"):
        damping_curve(unit)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160", "linnet-65", "pipit-65"])
def test_the_judge_passes_sound_files(demo_dir: Path, name: str) -> None:
    """What the hunt asks of every file holds for the demonstration units."""
    came = judge((demo_dir / f"{name}.toml").read_text("utf-8"))
    assert came["spring answered"] == 1
    assert came["sag answered"] == 3


def test_the_judge_finds_a_clipped_value(demo_dir: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The hunt is no rubber stamp: a reader that pulled a value into its range would be caught."""
    from tests.fuzz import unit_files

    unit = load_unit(demo_dir / "dunlin-160.toml")
    assert unit.air_spring is not None
    bore = unit.air_spring.bore
    pulled = unit.air_spring.model_copy(update={"bore": type(bore)(bore.si * 1.01, bore.std, text=bore.text)})
    monkeypatch.setattr(
        unit_files, "examine", lambda *_: ([], unit.model_copy(update={"air_spring": pulled}))
    )
    with pytest.raises(AssertionError, match=r"air_spring\.bore is not what its text says"):
        judge("")
