"""Revalve: the known answer is found, the search is told exactly, stress is respected."""

from __future__ import annotations

import re
from itertools import product

import pytest

import forkwright as fw
from forkwright.bench.damping import damping_curve
from forkwright.hardware.drawer import Drawer
from forkwright.tune.revalve import revalve
from forkwright.tune.valve_bench import Target
from forkwright.units import InputError


@pytest.fixture(scope="module")
def unit():
    return fw.load(fw.demo_file("plover-160"))


def drawer(*shims) -> Drawer:
    return Drawer.model_validate({"shims": list(shims)})


SMALL = drawer(
    {"size": "16.0 x 0.20 mm", "count": 3}, {"size": "14.5 x 0.20 mm", "count": 1},
    {"size": "13.0 x 0.20 mm", "count": 2}, {"size": "8.0 x 0.20 mm", "count": 9},
)  # fmt: skip


def test_the_stack_that_made_the_targets_is_found(unit):
    """Targets taken from the present stack: an exhaustive search gives it back with nothing left."""
    speeds = [0.3, 1.0, 3.0]
    forces = damping_curve(unit, speeds=speeds).force
    targets = tuple(Target(v, float(f)) for v, f in zip(speeds, forces, strict=True))
    found = revalve(unit, "base_valve", targets, SMALL)
    assert found.exhaustive
    best = found.proposals[0]
    assert [(d.outer_diameter.text, d.count) for d in best.discs] == [
        ("16.0 mm", 3),
        ("14.5 mm", 1),
        ("13.0 mm", 1),
    ]
    assert best.error < 1e-3
    assert found.present.error == pytest.approx(0.0, abs=1e-9)
    assert best.force == pytest.approx(forces, rel=1e-3)


def test_possible_stacks_are_counted_exactly(unit):
    """The count equals the brute count of the rules; shims inside the clamp are never used."""
    found = revalve(unit, "base_valve", (Target(1.0, 200.0),), SMALL, most_discs=4)
    brute = sum(1 for a, b, c in product(range(4), range(2), range(3)) if a > 0 and a + b + c <= 4)
    assert found.possible == found.searched == brute
    assert all(disc.outer_diameter.si > 8.5e-3 for one in found.proposals for disc in one.discs)
    assert [one.error for one in found.proposals] == sorted(one.error for one in found.proposals)


def test_a_cut_search_says_how_much_it_saw(unit):
    """With too small a budget the search is not called exhaustive, stops at the budget and repeats."""
    many = drawer(
        *({"size": f"{d} x {t} mm", "count": 6} for d in (16, 15, 14, 13, 12) for t in (0.1, 0.15, 0.2))
    )
    shares: list[float] = []
    runs = [
        revalve(unit, "base_valve", (Target(1.0, 230.0),), many, budget=60, keep=2, progress=shares.append)
        for _ in range(2)
    ]
    assert not runs[0].exhaustive
    assert runs[0].searched == 60 < runs[0].possible
    assert shares[-1] == 1.0
    assert [p.discs for p in runs[0].proposals] == [p.discs for p in runs[1].proposals]


def test_overstressed_stacks_are_left_out_and_counted(unit):
    """With a steel that yields at once, nothing is proposed and the number passed over is told."""
    soft = {"yield_stress": fw.load(fw.demo_file("plover-160")).damper.base_valve.yield_stress.at(1e6)}
    valve = unit.damper.base_valve.model_copy(update=soft)
    weak = unit.model_copy(update={"damper": unit.damper.model_copy(update={"base_valve": valve})})
    found = revalve(weak, "base_valve", (Target(2.0, 300.0),), SMALL, most_discs=2)
    assert found.proposals == ()
    assert found.overstressed == found.searched > 0


def test_rebound_targets_are_negative_and_wrong_ones_refused(unit):
    """Signs, number of targets, valve and drawer are checked."""
    shims = drawer({"size": "16.5 x 0.1 mm", "count": 3})
    ok = revalve(unit, "rebound_valve", (Target(-1.0, -300.0),), shims)
    assert ok.proposals[0].force[0] < 0
    push, pull = Target(1.0, 300.0), Target(-1.0, -300.0)
    for valve, targets, pile, words in (
        ("rebound_valve", (push,), shims, "must both be in rebound"),
        ("base_valve", (pull,), SMALL, "must both be in compression"),
        ("base_valve", (), SMALL, "number of targets; got '0'"),
        ("base_valve", (push,) * 6, SMALL, "number of targets; got '6'"),
        ("mid_valve", (push,), SMALL, "this valve has no shim stack"),
        ("middle", (push,), SMALL, "no such valve"),
        ("base_valve", (push,), drawer("9 x 0.1 mm"), "no shim in the drawer covers the seat"),
    ):
        with pytest.raises(InputError, match=re.escape(words)):
            revalve(unit, valve, targets, pile)
