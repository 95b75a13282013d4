"""Damper tables and stack files: what is read, and every way in which they can be wrong."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import forkwright as fw
from forkwright.evidence.fit_choice import swapped
from forkwright.hardware import (
    Unit,
    check_setting,
    cut,
    drawn,
    measures,
    quantities,
    read_text,
    replaced,
    to_text,
)
from forkwright.hardware.discs import Disc
from forkwright.hardware.drawer import load_drawer
from forkwright.hardware.stack import load_stack
from forkwright.units import InputError

STACK = """
bore = "6 mm"
clamp = "8 mm"
seat = "20 mm"
load = { inner = "8 mm", outer = "20 mm" }
shims = ["20.0 x 0.15 mm", "14 x 0.15 mm"]
youngs_modulus = "206 GPa"
poisson = 0.3
"""


def text_of(name: str = "dunlin-160") -> str:
    return Path(fw.demo_file(name)).read_text("utf-8")


def refused(text: str) -> InputError:
    with pytest.raises(InputError) as fault:
        read_text(text, "fork.toml")
    return fault.value


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('"18.0 x 0.100 ± 0.002 mm"', '"18.0 by 0.1"', "damper.rebound_valve.shims", "not a shim"),
        ('"18.0 x 0.100 ± 0.002 mm"', '"18.0 x 0.1 psi"', "damper.rebound_valve.shims", "not a shim"),
        ('"18.0 x 0.100 ± 0.002 mm"', '"10.0 x 0.1 mm"', "damper.rebound_valve.shims", "not larger than"),
        ("count = 9", "count = -9", "damper.rebound_valve.shims.0.count", "out of range"),
        ('bore = "6.00 mm"', 'bore = "6.00 mm"\nroom = "0.5 mm"', "damper.base_valve.shims", "more than the"),
        ('lift_closed = "0.02 mm"', 'lift_closed = "-0.02 mm"', "damper.base_valve.needle", "out of range"),
        ('"0.30 mm", "0.52 mm"', '"0.52 mm"', "damper.rebound_valve.needle.holes", "one hole more"),
        ('"0.30 mm", "0.52 mm"', '"0.52 mm", "0.30 mm"', "damper.rebound_valve.needle.holes", "smaller"),
        ('"100 °C"', '"30 °C"', "damper.oil.points", "wrong order"),
        ('"3.9 ± 0.1 cSt"', '"19 cSt"', "damper.oil.points", "gets thinner"),
        ('density = "852', 'viscosity_index = 120\ndensity = "852', "damper.oil.points", "not both"),
        ('stroke = "38 mm"', 'stroke = "20 mm"', "damper.reservoir.stroke", "bottoms before full travel"),
        ('preload = "36 ± 1 mm"', "", "damper.reservoir.preload", "missing key"),
        ('compression_volume = "82', 'compression_volume = "52', "damper.compression_volume", "empty"),
        ('shaft = "10.00 ± 0.01 mm"\nseal', 'shaft = "30 mm"\nseal', "damper.shaft", "does not fit"),
        ('open = "10.5 mm"', 'open = "17 mm"', "damper.base_valve.high_speed.closed", "stiffer end"),
        ('open = "10.5 mm"', 'open = "5 mm"', "damper.base_valve.high_speed", "disc outside the clamp"),
        ('closed = "15.5 mm"', 'closed = "25 mm"', "damper.base_valve.high_speed", "disc outside the clamp"),
        ('kind = "fulcrum"', 'kind = "lever"', "damper.base_valve.high_speed.kind", "not one of"),
        ('kind = "fulcrum"', 'kind = "preload"', "damper.base_valve.high_speed.diameter", "missing key"),
        ("[damper.mid_valve] ", "[damper.midvalve] ", "damper.midvalve", "did you mean 'mid_valve'"),
        ("low_speed = 8 ", "low_speed = 18 ", "setting.low_speed", "more clicks"),
        ("low_speed = 8 ", "low_speed = -1 ", "setting.low_speed", "out of range"),
    ],
)  # fmt: skip
def test_a_wrong_damper_is_refused_with_its_key_and_line(old, new, key, words):
    """File, line, key and reason are named."""
    text = text_of()
    assert old in text
    error = refused(text.replace(old, new, 1))
    assert error.key is not None
    assert error.key.startswith(key)
    assert words in str(error)
    assert error.file == "fork.toml"
    assert error.line is not None


def test_a_preload_spring_must_meet_the_stack():
    """A spring that would press beside every shim is refused when the file is read."""
    text = text_of().replace('kind = "fulcrum"', 'kind = "preload"\ndiameter = "30 mm"\nrate = "20 N/mm"', 1)
    text = text.replace('closed = "15.5 mm"\nopen = "10.5 mm"', 'closed = "2 mm"\nopen = "0 mm"', 1)
    error = refused(text)
    assert error.key == "damper.base_valve.high_speed"
    assert "backing spring must press on a disc" in str(error)


def test_the_holes_of_a_needle_are_measures_like_any_other():
    """A table of holes is listed, drawn within its tolerances and replaced, hole by hole."""
    text = text_of().replace('holes = ["0.30 mm", "0.52 mm"', 'holes = ["0.30 mm", "0.52 ± 0.02 mm"', 1)
    unit, path = read_text(text), "damper.rebound_valve.needle.holes.1"
    assert measures(unit)[path].std == pytest.approx(2e-5)
    assert quantities(unit)[path].dimension == "length"
    holes = drawn(unit, 50, seed=1).damper.rebound_valve.needle.holes
    assert np.std(holes[1].si) == pytest.approx(2e-5, rel=0.5)
    assert holes[0].si == 0.0003
    changed = replaced(unit, {path: 0.6e-3})
    assert changed.damper.rebound_valve.needle.holes[1].si == 0.6e-3
    assert swapped(unit, {path: 0.6e-3}) == changed


def test_cutting_a_drawn_damper_cuts_every_list_in_it():
    """Shims stand in a list; each of their draws belongs to one block, as those of single parts do."""
    unit = drawn(fw.load(fw.demo_file("dunlin-160")), 6)
    blocks = cut(unit, 3)
    shims = [block.damper.base_valve.shims[0].thickness.si for block in blocks]
    assert [len(block.damper.tube.si) for block in blocks] == [2, 2, 2]
    assert [len(values) for values in shims] == [2, 2, 2]
    assert (np.concatenate(shims) == unit.damper.base_valve.shims[0].thickness.si).all()


@pytest.mark.parametrize("micro", ["\N{MICRO SIGN}", "\N{GREEK SMALL LETTER MU}"])
def test_a_shim_in_micrometres_is_read_with_either_sign(micro: str):
    """The two signs look alike; with the Greek one the diameter was once taken for metres."""
    disc = Disc.model_validate(f"18000 x 150 {micro}m")
    assert (disc.outer_diameter.si, disc.thickness.si) == (0.018, 0.00015)


def test_an_oil_label_that_no_oil_has_is_refused():
    """Viscosity and index must belong to some oil."""
    error = refused(text_of("plover-160").replace('"22.0 ± 0.5 cSt"', '"3 cSt"'))
    assert error.key == "damper.oil.viscosity_index"


def test_only_the_base_valve_has_a_high_speed_adjuster():
    """The same table elsewhere is refused, and so is a check in the rebound valve."""
    text = text_of().replace("[damper.base_valve.high_speed]", "[damper.rebound_valve.high_speed]")
    assert "only the base valve" in str(refused(text))
    text = text_of().replace("[damper.base_valve.check]", "[damper.rebound_valve.check]")
    assert "belongs to [damper.mid_valve]" in str(refused(text))


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160"])
def test_damper_files_go_round(name: str):
    """Written out and read again, a unit with a damper is the same."""
    unit = fw.load(fw.demo_file(name))
    assert isinstance(unit, Unit)
    again = read_text(to_text(unit), "again")
    assert again == unit


def test_click_ranges_and_limits():
    """The adjusters that exist, and the setting held to them."""
    unit = fw.load(fw.demo_file("plover-160"))
    assert unit.damper.click_ranges() == {"low_speed": 12, "high_speed": 5, "rebound": 14}
    check_setting(unit, unit.setting.changed(high_speed=5))
    with pytest.raises(InputError, match="more clicks"):
        check_setting(unit, unit.setting.changed(high_speed=6))


def test_shims_with_tolerances_are_drawn():
    """A shim's thickness is a measure like any other: it has a path and is drawn."""
    unit = fw.load(fw.demo_file("dunlin-160"))
    path = "damper.rebound_valve.shims.1.thickness"
    assert measures(unit)[path].std == pytest.approx(2e-6)
    assert measures(drawn(unit, 5, 1))[path].si.shape == (5, 1)


def test_shim_text_goes_round():
    """Text, table and tolerance forms keep what they say."""
    assert Disc.model_validate("18.0 x 0.15 mm").model_dump() == "18.0 x 0.15 mm"
    disc = Disc.model_validate({"size": "18.0 ± 0.05 x 0.150 ± 0.003 mm", "count": 2, "dish": "0.05 mm"})
    assert disc.thickness.std == pytest.approx(3e-6)
    assert Disc.model_validate(disc.model_dump()) == disc
    inches = Disc.model_validate("0.5 in x 0.2 mm")
    assert inches.outer_diameter.si == pytest.approx(0.0127)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"14 x 0.15 mm"', '"7 x 0.15 mm"', "disc 2 (diameter 7 mm"),
        ('bore = "6 mm"', 'bore = "9 mm"', "smaller than the bore"),
        ('seat = "20 mm"', 'seat = "24 mm"', "the seat"),
        (
            'load = { inner = "8 mm", outer = "20 mm" }',
            'load = { inner = "12 mm", outer = "9 mm" }',
            "annulus",
        ),
        ('shims = ["20.0 x 0.15 mm", "14 x 0.15 mm"]', "shims = []", "shims"),
        ("poisson = 0.3", "poisson = 0.6", "poisson"),
        ('clamp = "8 mm"', "", "clamp: missing key"),
        ('bore = "6 mm"', 'boor = "6 mm"', "did you mean 'bore'"),
        ('bore = "6 mm"', 'bore = "6 mm"\nroom = "0.2 mm"', "more than the 0.200 mm gap"),
        ('"206 GPa"', '"206 mm"', "youngs_modulus"),
    ],
)
def test_a_stack_that_cannot_exist_is_refused(old, new, words, tmp_path):
    """A stack file: every fault names itself and the file."""
    file = tmp_path / "stack.toml"
    assert old in STACK
    file.write_text(STACK.replace(old, new, 1), "utf-8")
    with pytest.raises(InputError) as fault:
        load_stack(file)
    assert words in str(fault.value)
    assert "stack.toml" in str(fault.value)


def test_a_drawer_is_read_and_a_wrong_one_refused(tmp_path):
    """Sizes and counts; a count below one is refused."""
    file = tmp_path / "drawer.toml"
    file.write_text('shims = ["18 x 0.15 mm", { size = "16 x 0.1 mm", count = 3 }]', "utf-8")
    assert [disc.count for disc in load_drawer(file).shims] == [1, 3]
    file.write_text('shims = [{ size = "16 x 0.1 mm", count = 0 }]', "utf-8")
    with pytest.raises(InputError, match="out of range"):
        load_drawer(file)
