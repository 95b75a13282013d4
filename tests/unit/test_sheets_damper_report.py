"""The damper half of the report: every part is drawn from the comparison, lost margins are crossed out."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from forkwright.hardware import load_unit
from forkwright.sheets.compare_damper_report import damper_blocks, damper_sentences
from forkwright.sheets.document import Figure, Gallery, Table
from forkwright.sheets.map_drawing import draw_margin_map
from forkwright.tune.compare import Comparison, compare
from forkwright.units import UnitChoice

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"


@pytest.fixture(scope="module")
def both() -> Comparison:
    units = [load_unit(DEMO / f"{name}.toml") for name in ("dunlin-160", "plover-160")]
    return compare(units[0], units[1], 333.0, draws=200, damper_draws=12)


def test_report_has_curves_stacks_effects_and_maps(both: Comparison) -> None:
    """The damper half holds two charts, a click table and galleries of stacks and maps for each damper."""
    blocks = damper_blocks(both, UnitChoice())
    assert sum(isinstance(block, Figure) for block in blocks) == 2
    assert [block.caption.split(":")[0] for block in blocks if isinstance(block, Table)] == [
        "Dunlin 160",
        "Plover 160",
    ]
    captions = [p.caption for block in blocks if isinstance(block, Gallery) for p in block.pictures]
    assert any("base valve at +1.0 m/s" in caption for caption in captions)
    assert any("rebound valve at -1.0 m/s" in caption for caption in captions)
    assert sum("margin" in caption for caption in captions) == 6


def test_a_comparison_without_dampers_has_no_damper_half(both: Comparison) -> None:
    """Where a unit has no damper, nothing is said about dampers."""
    bare = both.a.unit.model_copy(update={"damper": None, "setting": both.a.setting.model_copy(
        update={"low_speed": None, "high_speed": None, "rebound": None})})  # fmt: skip
    found = compare(bare, both.b.unit, 333.0, draws=200)
    assert found.damper is None
    assert damper_blocks(found, UnitChoice()) == []
    assert damper_sentences(found, UnitChoice()) == ()


def test_sentences_carry_the_computed_clicks(both: Comparison) -> None:
    """The nearest clicks and what remains stand in the sentence as computed."""
    assert both.damper is not None
    said = " ".join(damper_sentences(both, UnitChoice()))
    near = both.damper.nearest
    assert f"rebound {near.clicks['rebound']}" in said
    assert f"{near.searched} combinations tried" in said
    lost = both.damper.b.curve.margin_lost[1]
    assert lost is not None
    assert f"from {lost:.2f} m/s" in said


def test_map_crosses_out_exactly_the_lost_cells() -> None:
    """Each cell with a margin below zero is crossed, no other, and the set click is framed."""
    speed = np.linspace(-1.0, 1.0, 5)
    margin = np.array([[1e5, -1.0, 2e5, 3e5, -5e4], [1e5, 1.0, 2e5, 3e5, 5e4]])
    drawn = draw_margin_map(speed, np.array([0, 1]), margin, "margin <b>", now=1)
    assert len(re.findall('<path d="M', drawn)) == 2
    assert drawn.count('fill="none" stroke="#000"') == 1
    assert "<b>" not in drawn


def test_a_map_that_has_lost_every_margin_is_crossed_all_over() -> None:
    """Where no cell has a margin left none is blue."""
    margin = np.array([[-1e5, -2e5, -3e5]])
    drawn = draw_margin_map(np.linspace(-1.0, 1.0, 3), np.array([0]), margin, "margin")
    assert len(re.findall('<path d="M', drawn)) == 3
    assert "rgb(" not in drawn


def test_a_damper_and_its_later_state_are_told_apart(both: Comparison) -> None:
    """Two units of one name are called A and B in every sentence, curve, table and picture."""
    twin = replace(both, b=replace(both.b, unit=both.b.unit.model_copy(update={"name": both.a.unit.name})))
    blocks = damper_blocks(twin, UnitChoice())
    names = [{line.name for line in b.chart.lines} for b in blocks if isinstance(b, Figure)]
    names += [{b.caption.split(":")[0] for b in blocks if isinstance(b, Table)}]
    names += [
        {p.caption.split(",")[0].split(":")[0] for b in blocks if isinstance(b, Gallery) for p in b.pictures}
    ]
    for found in names:
        assert {"Dunlin 160 (A)", "Dunlin 160 (B)"} <= found
    assert "Dunlin 160 (B) damps nearest to Dunlin 160 (A)" in " ".join(damper_sentences(twin, UnitChoice()))


def test_maps_tell_the_margin_in_the_reader_s_unit(both: Comparison) -> None:
    """The deepest blue is told in the unit the reader chose for pressures."""
    for unit in ("bar", "psi"):
        blocks = damper_blocks(both, UnitChoice(pressure=unit))
        captions = [p.caption for b in blocks if isinstance(b, Gallery) for p in b.pictures]
        assert [f" {unit} of margin" in words for words in captions if "margin" in words] == [True] * 6
