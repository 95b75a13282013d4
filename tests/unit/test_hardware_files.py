"""Unit files: read, rewritten with comments kept, drawn and replaced."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from forkwright.hardware import (
    Unit,
    drawn,
    load,
    measures,
    quantities,
    read_text,
    replaced,
    save,
    to_text,
    updated_text,
)
from forkwright.units import Measure, parse


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160", "linnet-65", "pipit-65", "rider", "bike"])
def test_demo_files_round_trip(demo_dir: Path, name: str) -> None:
    """A demo file reads, writes and reads back to the same thing; rewriting it unchanged changes nothing."""
    path = demo_dir / f"{name}.toml"
    thing = load(path)
    assert read_text(to_text(thing)) == thing
    source = path.read_text("utf-8")
    assert updated_text(source, thing) == source


def test_rewriting_keeps_comments_and_order(demo_dir: Path, tmp_path: Path) -> None:
    """Changing one setting rewrites that value alone."""
    source = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    path = tmp_path / "fork.toml"
    path.write_text(source, "utf-8")
    unit = load(path)
    assert isinstance(unit, Unit)
    changed = unit.model_copy(update={"setting": unit.setting.changed(spacers=3)})
    save(changed, path)
    assert path.read_text("utf-8") == source.replace("spacers = 2\n", "spacers = 3\n")


def test_a_fitted_value_is_written_with_its_history(demo_dir: Path) -> None:
    """A value with an origin and a note becomes a small table and reads back."""
    source = (demo_dir / "dunlin-160.toml").read_text("utf-8")
    unit = read_text(source)
    assert isinstance(unit, Unit)
    assert unit.air_spring is not None
    fitted = Measure(14.5, 0.8, "fitted", "slow bench trace", "14.5 ± 0.8 N")
    new = unit.model_copy(update={"air_spring": unit.air_spring.model_copy(update={"seal_friction": fitted})})
    text = updated_text(source, new)
    assert 'seal_friction = {value = "14.5 ± 0.8 N", origin = "fitted", note = "slow bench trace"}' in text
    again = read_text(text)
    assert isinstance(again, Unit)
    assert measures(again)["air_spring.seal_friction"] == fitted


def test_measures_are_found_by_path(demo_dir: Path) -> None:
    """Every quantity of a file is listed by its dotted path with its kind."""
    unit = load(demo_dir / "dunlin-160.toml")
    assert measures(unit)["air_spring.spacers.volume"] == parse("7.6 ± 0.1 ml", "volume")
    assert quantities(unit)["air_spring.spacers.volume"].dimension == "volume"
    written = written_quantities(tomllib.loads((demo_dir / "dunlin-160.toml").read_text("utf-8")))
    assert len(written) > 90
    assert written <= set(measures(unit))
    assert set(measures(unit)) == set(quantities(unit))


def written_quantities(entry: Any, path: str = "") -> set[str]:
    """The dotted paths under which a file holds a number with a unit; shims, two numbers in one, aside."""
    if isinstance(entry, dict) and "value" not in entry:
        return {at for key, inner in entry.items() for at in written_quantities(inner, f"{path}.{key}")}
    if isinstance(entry, list):
        return {at for i, inner in enumerate(entry) for at in written_quantities(inner, f"{path}.{i}")}
    text = str(entry["value"] if isinstance(entry, dict) else entry)
    counted = isinstance(entry, int)  # spacers, clicks, ports
    return {path[1:]} if not counted and re.fullmatch(r"[\d.]+( ± [\d.]+)?( [^\dx]\S*)?", text) else set()


def test_replaced_changes_only_what_it_names(demo_dir: Path) -> None:
    """One replaced value leaves every other measure alone; an unknown path is refused."""
    unit = load(demo_dir / "dunlin-160.toml")
    other = replaced(unit, {"air_spring.bore": 0.0321})
    differing = {p for p, m in measures(other).items() if m.si != measures(unit)[p].si}
    assert differing == {"air_spring.bore"}
    with pytest.raises(KeyError, match="no such measure"):
        replaced(unit, {"air_spring.boer": 0.03})


def test_draws_follow_the_tolerances_and_the_seed(demo_dir: Path) -> None:
    """Draws have the stated mean and spread, stay in range, and repeat with the seed."""
    unit = load(demo_dir / "dunlin-160.toml")
    many = measures(drawn(unit, 20_000, 3))
    bore = np.asarray(many["air_spring.bore"].si)
    assert bore.shape == (20_000, 1)
    assert bore.mean() == pytest.approx(0.032, abs=5 * 2e-5 / np.sqrt(20_000))
    assert bore.std() == pytest.approx(2e-5, rel=0.03)
    assert np.asarray(many["chassis.breakaway"].si).min() >= 1.0
    assert np.array_equal(bore, measures(drawn(unit, 20_000, 3))["air_spring.bore"].si)
    assert not np.array_equal(bore, measures(drawn(unit, 20_000, 4))["air_spring.bore"].si)


def test_fingerprint_changes_with_any_value(demo_dir: Path) -> None:
    """A unit read again has the same fingerprint; another measure, name or click gives another one."""
    unit = load(demo_dir / "dunlin-160.toml")
    assert isinstance(unit, Unit)
    again = read_text(to_text(unit))
    assert isinstance(again, Unit)
    assert unit.fingerprint == again.fingerprint
    others = {
        path: replaced(unit, {path: float(measure.si) * 1.0001 + 1e-9})
        for path, measure in measures(unit).items()
    }
    others["name"] = unit.model_copy(update={"name": "other"})
    for adjuster in ("spacers", "low_speed", "high_speed", "rebound"):
        turned = unit.setting.changed(**{adjuster: getattr(unit.setting, adjuster) - 1})
        others[f"setting.{adjuster}"] = unit.model_copy(update={"setting": turned})
    assert "damper.base_valve.shims.0.thickness" in others
    prints = {unit.fingerprint, *(other.fingerprint for other in others.values())}
    assert len(prints) == len(others) + 1
