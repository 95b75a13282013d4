"""Drawings as SVG: well formed, escaped, named, and the same numbers as the curve."""

from __future__ import annotations

import itertools
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

import forkwright as fw
from forkwright.bench import spring_curve
from forkwright.physics import P0
from forkwright.physics.shim_stack import Shim, ShimLoad, ShimStack
from forkwright.sheets.cutaway import CutawayStyle, draw_cutaway
from forkwright.sheets.cutaway_data import chamber_samples, motion_data, pressures_at
from forkwright.sheets.legs import chassis, damper_leg, spring_leg
from forkwright.sheets.shim_drawing import draw_stack, enlargement
from forkwright.sheets.shim_shapes import drawn_stack
from forkwright.units import UnitChoice

NS = "{http://www.w3.org/2000/svg}"
DUNLIN = fw.load(fw.demo_file("dunlin-160"))


def _texts(svg: str) -> list[str]:
    return [node.text or "" for node in ET.fromstring(svg).iter() if node.tag in (f"{NS}text", f"{NS}tspan")]


def test_cutaway_names_its_parts_and_reads_the_pressures_of_the_curve() -> None:
    """Every main part is named, and chamber pressures are those of the spring curve, in the chosen unit."""
    curve = spring_curve(DUNLIN)
    layout = spring_leg(DUNLIN)
    samples = chamber_samples(curve, P0)
    known = pressures_at(samples, curve.travel, 0.08)
    svg = draw_cutaway(layout, layout.pose(80.0), known, style=CutawayStyle(units=UnitChoice(pressure="bar")))
    texts = _texts(svg)
    for name in ("Positive chamber", "Negative chamber", "Air piston", "Shaft", "Stanchion", "Lower leg",
                 "Upper bushing", "Lower bushing", "Axle", "Transfer port", "2 volume spacers",
                 "Lower-leg oil"):  # fmt: skip
        assert name in texts
    expected = np.interp(0.08, curve.travel, curve.positive) - P0
    assert f"{expected / 1e5:.2f} bar" in texts


def test_names_from_files_are_text_and_nothing_else() -> None:
    """A unit's name with markup in it comes out escaped."""
    svg = draw_cutaway(spring_leg(DUNLIN), title='<script>alert(1)</script>"&')
    assert "<script" not in svg
    assert ET.fromstring(svg).find(f"{NS}title").text == '<script>alert(1)</script>"&'


def test_moving_parts_shift_by_the_travel_and_still_ones_stay() -> None:
    """Between two travels exactly the parts of the lower end move, by the travel."""
    layout = spring_leg(DUNLIN)
    places = []
    for travel in (0.0, 50.0):
        root = ET.fromstring(draw_cutaway(layout, layout.pose(travel)))
        places.append(
            {n.get("data-part"): float(n.get("y")) for n in root.iter(f"{NS}rect") if n.get("data-part")}
        )
    for part in layout.parts:
        moved = places[0][part.key] - places[1][part.key]
        assert moved == pytest.approx(50.0 if part.top == "lowers" else 0.0, abs=0.011), part.key


def test_damper_leg_reservoir_rises_by_the_area_ratio() -> None:
    """The reservoir's piston moves the travel times shaft area over reservoir area."""
    layout = damper_leg(DUNLIN)
    assert layout is not None
    ratio = (DUNLIN.damper.shaft.si / DUNLIN.damper.reservoir.bore.si) ** 2
    assert layout.pose(100.0).reservoir == pytest.approx(100.0 * ratio)


def test_every_layout_draws_at_every_travel_without_negative_sizes() -> None:
    """All drawings of both demonstration forks keep positive heights from 0 to full travel."""
    for unit in (DUNLIN, fw.load(fw.demo_file("plover-160"))):
        curve = spring_curve(unit)
        for layout in (spring_leg(unit), damper_leg(unit), chassis(unit)):
            if layout is None:
                continue
            for place in (0, 80, 160):
                pose = layout.pose(float(curve.travel[place]) * 1e3, float(curve.floating[place]) * 1e3)
                for part in layout.parts:
                    _, top, _, bottom = part.box()
                    height = bottom + pose.shift(part.bottom) - top - pose.shift(part.top)
                    assert height > 0.0, (unit.name, part.key, place)


def test_layout_says_what_it_assumed(tmp_path: Path) -> None:
    """A file without chassis sizes still draws, and the drawing's notes name what was assumed."""
    text = fw.demo_file("dunlin-160").read_text("utf-8").replace('leg_spacing = "134 ± 1 mm"', "")
    path = tmp_path / "fork.toml"
    path.write_text(text, "utf-8")
    layout = chassis(fw.load(path))
    assert any("leg spacing" in note for note in layout.notes)


def test_coil_negative_and_shock_draw(tmp_path: Path) -> None:
    """A negative coil is drawn as a coil, and a shock without lower legs as a body with eyelets."""
    text = """format = 1
kind = "shock"
name = "Wren 55"
travel = "55 mm"
[air_spring]
bore = "40 mm"
shaft = "12 mm"
positive_volume = "130 ml"
negative = "coil"
negative_coil = { rate = "20 N/mm", length = "25 mm" }
[setting]
pressure = "150 psi"
"""
    path = tmp_path / "shock.toml"
    path.write_text(text, "utf-8")
    svg = draw_cutaway(spring_leg(fw.load(path)))
    assert "data-coil" in svg
    assert "Lower eyelet" in _texts(svg)
    assert "Wiper" not in _texts(svg)


def test_motion_data_is_json_of_equal_lengths() -> None:
    """The page's data hold one position and one pressure for every sample of the travel."""
    curve = spring_curve(DUNLIN, points=41)
    data = motion_data(spring_leg(DUNLIN), curve, P0, 2e6, ("psi", 6894.757, 1))
    lengths = {len(data[key]) for key in ("travel_mm", "lowers", "floating", "reservoir")}
    lengths |= {len(values) for values in data["pressures"].values()}
    assert lengths == {41}
    assert data["travel_mm"][-1] == 160.0


def _stack() -> ShimStack:
    sizes = ((9, 0.15), (9, 0.15), (6, 0.1), (8, 0.15), (7, 0.15))
    return ShimStack(tuple(Shim(r * 1e-3, t * 1e-3) for r, t in sizes), 4e-3, 3e-3)


def test_no_drawn_disc_cuts_another() -> None:
    """In the loaded half each disc lies on or above the one below it, at every radius both have."""
    stack = drawn_stack(_stack(), ShimLoad(5.5e-3, 8e-3), 8.5e-3, 15e5, "a stack")
    base = 0.0
    tops = []
    for disc in stack.discs:
        tops.append((disc.radius, base + disc.lift, disc.thickness))
        base += disc.thickness
    for (r1, z1, t1), (r2, z2, _) in itertools.pairwise(tops):
        shared = r1[r1 <= min(r1[-1], r2[-1]) + 1e-12]
        gap = np.interp(shared, r2, z2) - np.interp(shared, r1, z1) - t1
        assert gap.min() > -1e-9
    svg = draw_stack(stack)
    assert svg.count("data-disc") == 2 * len(stack.discs)
    assert f"enlarged {enlargement(stack):g} times" in svg
    assert any("18.0 mm × 0.15 mm" in text for text in _texts(svg))


def test_unloaded_stack_is_drawn_flat() -> None:
    """Without pressure both halves are flat discs at the summed thickness."""
    stack = drawn_stack(_stack(), ShimLoad(5.5e-3, 8e-3), 8.5e-3, 0.0)
    assert max(float(np.abs(disc.lift).max()) for disc in stack.discs) < 1e-12


def test_scale_bar_is_in_the_readers_unit() -> None:
    """Below a drawing stands a bar of 50 mm, or of 2 in for somebody who reads inches, as long as it says."""
    for unit, words, length in (("mm", "50 mm,", "h50m"), ("in", "2 in,", "h50.8m")):
        svg = draw_cutaway(spring_leg(DUNLIN), style=CutawayStyle(units=UnitChoice(length=unit)))
        assert words in svg
        assert length in svg
