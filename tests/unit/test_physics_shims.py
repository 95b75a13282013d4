"""What a stack refuses, what it warns of, and what its adjusters do."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from forkwright.physics.errors import Unphysical
from forkwright.physics.plates import plate_rigidity, pressure_response, ring_load_response
from forkwright.physics.shims import (
    BackingSpring,
    Fulcrum,
    Shim,
    ShimLoad,
    ShimStack,
    deflected_shapes,
    opening,
    opening_map,
)

LOAD, SEAT, BAR = ShimLoad(5e-3, 8e-3), 9e-3, 1e5
DISC = Shim(10e-3, 0.15e-3)
RIGIDITY = plate_rigidity(206e9, 0.15e-3, 0.3)


def stack_of(*shims: Shim, **more: float) -> ShimStack:
    return ShimStack(shims, 4e-3, 2e-3, 206e9, 0.3, **more)


PLAIN = stack_of(DISC, DISC, Shim(9e-3, 0.15e-3), Shim(8e-3, 0.15e-3))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: stack_of(), "no disc"),
        (lambda: stack_of(DISC, Shim(4e-3, 0.1e-3)), "disc 2 .* not larger than the clamp"),
        (lambda: stack_of(DISC, Shim(3e-3, 0.1e-3)), "disc 2 .* not larger than the clamp"),
        (lambda: stack_of(Shim(10e-3, 0.0)), "thickness must be above zero"),
        (lambda: stack_of(Shim(10e-3, -0.1e-3)), "thickness must be above zero"),
        (lambda: stack_of(Shim(math.nan, 0.1e-3)), "not a number"),
        (lambda: stack_of(Shim(10e-3, 0.1e-3, dish=math.inf)), "dish is not a number"),
        (lambda: stack_of(Shim(10e-3, 0.1e-3, inner_radius=5e-3)), "nothing holds it"),
        (lambda: ShimStack((DISC,), 2e-3, 3e-3), "smaller than the bore"),
        (lambda: ShimStack((DISC,), 4e-3, 2e-3, youngs_modulus=0.0), "Young's modulus"),
        (lambda: ShimStack((DISC,), 4e-3, 2e-3, poisson=0.5), "Poisson's ratio"),
        (lambda: stack_of(DISC, DISC, available_height=0.25e-3), "0.300 mm thick, more than the 0.250 mm"),
    ],
)
def test_a_stack_that_cannot_exist_is_refused(make, words):
    """The refusal says which disc and why."""
    with pytest.raises(Unphysical, match=words):
        make()


@pytest.mark.parametrize(
    ("use", "words"),
    [
        ({"seat_radius": 4e-3}, "seat"),
        ({"seat_radius": 10.1e-3}, "seat"),
        ({"load": ShimLoad(8e-3, 5e-3)}, "grow outwards"),
        ({"load": ShimLoad(2e-3, 3e-3)}, "nothing lifts"),
        ({"load": ShimLoad(5e-3, 8e-3, ring_area=1e-5)}, "ring load"),
        ({"pressures": [-1.0]}, "not negative"),
        ({"pressures": [math.nan]}, "finite"),
        ({"fulcrum": Fulcrum(3.9e-3)}, "fulcrum"),
        ({"fulcrum": Fulcrum(11e-3)}, "fulcrum"),
        ({"backing_spring": BackingSpring(7e-3, -1.0)}, "rate is negative"),
        ({"backing_spring": BackingSpring(7e-3, 0.0, -1.0)}, "cannot pull"),
        ({"fulcrum": Fulcrum(SEAT, -1e-5)}, "no room"),
    ],
)
def test_a_load_or_support_that_meets_nothing_is_refused(use, words):
    """Seats, ports, pressures and adjusters out of reach never give a number."""
    asked = {"load": LOAD, "seat_radius": SEAT, "pressures": [BAR], **use}
    with pytest.raises(Unphysical, match=words):
        opening(PLAIN, asked.pop("load"), asked.pop("seat_radius"), asked.pop("pressures"), **asked)


def test_a_flat_stack_opens_from_zero_in_proportion():
    """Without dish or spring the seat is closed at zero pressure and the lift grows in proportion."""
    got = opening(PLAIN, LOAD, SEAT, [0.0, BAR, 4 * BAR])
    assert got.opening[0] == 0.0
    assert got.opening[2] == pytest.approx(4 * got.opening[1], rel=1e-9)
    assert np.all(got.seat_reaction == 0.0)
    assert got.stress[2] == pytest.approx(4 * got.stress[1], rel=1e-9)


def test_one_disc_is_the_plate_formula():
    """A stack of one disc lifts as the closed form has it, under pressure and a ring load together."""
    load = ShimLoad(5e-3, 8e-3, ring_area=2e-5, ring_radius=8.5e-3)
    got = opening(stack_of(DISC), load, SEAT, [3 * BAR]).opening[0]
    pressed = float(pressure_response(SEAT, 5e-3, 8e-3, 4e-3, 10e-3, 0.3).lift)
    ringed = 2e-5 * float(ring_load_response(SEAT, 8.5e-3, 4e-3, 10e-3, 0.3).lift)
    assert got == pytest.approx(3 * BAR * (pressed + ringed) / RIGIDITY, rel=1e-9)


def test_a_spring_at_the_seat_cracks_where_its_preload_is_lifted():
    """One disc, spring above the seat: closed until its preload is lifted; stiffer beyond."""
    at_seat = float(ring_load_response(SEAT, SEAT, 4e-3, 10e-3, 0.3).lift) / RIGIDITY
    per_pascal = float(pressure_response(SEAT, 5e-3, 8e-3, 4e-3, 10e-3, 0.3).lift) / RIGIDITY
    spring = BackingSpring(SEAT, 40e3, 15.0)
    found = opening_map(stack_of(DISC), LOAD, SEAT, 20 * BAR, backing_spring=spring)
    cracking = 15.0 * at_seat / per_pascal
    assert found.cracking_pressure == pytest.approx(cracking, rel=1e-6)
    beyond = per_pascal * BAR / (1.0 + 40e3 * at_seat)
    assert float(found.at(cracking + BAR)) == pytest.approx(beyond, rel=1e-6)
    closed = opening(stack_of(DISC), LOAD, SEAT, [0.0], backing_spring=spring)
    assert closed.seat_reaction[0] == pytest.approx(15.0, rel=1e-6)


def test_a_dead_load_is_a_spring_without_rate():
    """A vanishing spring rate leaves the dead load, in linear theory and with stretching."""
    for stiffening in (False, True):
        dead, soft = (
            opening(
                PLAIN,
                LOAD,
                SEAT,
                [0.0, 10 * BAR],
                stiffening=stiffening,
                backing_spring=BackingSpring(7e-3, rate, 30.0),
            )
            for rate in (0.0, 1e-3)
        )
        assert dead.opening == pytest.approx(soft.opening, rel=1e-5)
        assert dead.seat_reaction == pytest.approx(soft.seat_reaction, rel=1e-5)


@pytest.mark.parametrize(
    "preloaded",
    [
        {"stack": stack_of(DISC, DISC, seat_height=0.05e-3)},
        {"stack": stack_of(Shim(10e-3, 0.15e-3, dish=0.05e-3), DISC)},
        {"stack": stack_of(DISC, Shim(10e-3, 0.15e-3, dish=0.05e-3))},
        {"backing_spring": BackingSpring(7e-3, 50e3, 20.0)},
        {"fulcrum": Fulcrum(6e-3, -0.005e-3)},
    ],
    ids=["raised seat", "dished disc 1", "dished disc 2", "spring", "pressed fulcrum"],
)
def test_preload_keeps_the_seat_closed_up_to_a_pressure(preloaded):
    """Dish, raised seat, spring and a pressed-down fulcrum hold the seat; its reaction falls to zero."""
    stack = preloaded.get("stack", stack_of(DISC, DISC))
    preloaded = {name: part for name, part in preloaded.items() if name != "stack"}
    cracking = opening_map(stack, LOAD, SEAT, 100 * BAR, **preloaded).cracking_pressure
    assert cracking > 0.1 * BAR
    got = opening(stack, LOAD, SEAT, [0.0, 0.5 * cracking, 0.999 * cracking, 1.01 * cracking], **preloaded)
    assert np.all(got.opening[:3] == 0.0)
    assert got.opening[3] > 0.0
    assert np.all(np.diff(got.seat_reaction) < 0.0)
    assert got.seat_reaction[3] == 0.0


def test_a_negative_dish_leaves_a_gap_that_must_close_first():
    """A disc dished away from the face joins in later: softer at first, then as steep as the flat stack."""
    away = stack_of(DISC, Shim(10e-3, 0.15e-3, dish=-0.03e-3))
    pieces = opening_map(away, LOAD, SEAT, 40 * BAR)
    slopes = np.diff(pieces.opening) / np.diff(pieces.pressure)
    alone = opening(stack_of(DISC), LOAD, SEAT, [BAR]).opening[0] / BAR
    assert slopes[0] == pytest.approx(alone, rel=1e-6)
    assert slopes[-1] < 0.6 * alone


def test_a_fulcrum_further_out_is_stiffer_and_a_far_one_does_nothing():
    """Moving the ring outwards from the clamp opens less; one far behind the stack is never reached."""
    free = opening(PLAIN, LOAD, SEAT, [5 * BAR]).opening[0]
    near, further = (
        opening(PLAIN, LOAD, SEAT, [5 * BAR], fulcrum=Fulcrum(r)).opening[0] for r in (5e-3, 6e-3)
    )
    assert further < near < free
    far = opening(PLAIN, LOAD, SEAT, [5 * BAR], fulcrum=Fulcrum(6e-3, 5e-3)).opening[0]
    assert far == pytest.approx(free, rel=1e-9)


def test_the_shapes_rest_on_each_other():
    """Drawn discs start at their place in the pile, do not cut each other, and lift as the answer says."""
    shapes = deflected_shapes(PLAIN, LOAD, SEAT, 10 * BAR)
    assert [round(shape.height[0] * 1e3, 9) for shape in shapes] == [0.0, 0.15, 0.3, 0.45]
    for lower, upper in pairwise(shapes):
        top = lower.height[: len(upper.height)] + lower.thickness
        assert np.all(upper.height - top > -1e-9)
    at_seat = np.interp(SEAT, shapes[0].radius, shapes[0].height)
    assert at_seat == pytest.approx(opening(PLAIN, LOAD, SEAT, [10 * BAR]).opening[0], rel=1e-6)


def test_warnings_name_yield_large_lift_and_an_uncovered_port():
    """A disc past its yield, a lift past half a thickness and a port wider than disc 1 are each said."""
    calm = opening(PLAIN, LOAD, SEAT, [0.1 * BAR])
    assert calm.warnings == ()
    loud = opening(PLAIN, ShimLoad(5e-3, 12e-3), SEAT, [0.1 * BAR, 100 * BAR])
    text = " | ".join(loud.warnings)
    assert "disc 1 passes its yield stress (1400 MPa, assumed) at 100 bar" in text
    assert "more than half its thickness" in text
    assert "only the covered part pushes" in text
    given = ShimStack(PLAIN.shims, 4e-3, 2e-3, 206e9, 0.3, yield_stress=calm.stress[0] * 0.99)
    assert "given" in opening(given, LOAD, SEAT, [0.1 * BAR]).warnings[0]


def test_stretching_reports_its_share_once_the_lift_is_large():
    """The share is nil for small lifts and is said, with its size, beyond half a thickness."""
    small = opening(PLAIN, LOAD, SEAT, [0.05 * BAR], stiffening=True)
    assert small.warnings == ()
    assert abs(small.stiffening_share[0]) < 1e-3
    large = opening(PLAIN, LOAD, SEAT, [15 * BAR], stiffening=True)
    linear = opening(PLAIN, LOAD, SEAT, [15 * BAR])
    assert large.opening[0] == pytest.approx(linear.opening[0] * (1 - large.stiffening_share[0]), rel=1e-3)
    assert f"{-100 * large.stiffening_share[0]:+.1f}" in large.warnings[-1]


def test_the_map_goes_on_beyond_its_end_and_is_shut_below_zero():
    """Beyond the highest pressure the last piece continues; at or below zero the seat is shut."""
    pieces = opening_map(PLAIN, LOAD, SEAT, 10 * BAR)
    assert float(pieces.at(20 * BAR)) == pytest.approx(
        opening(PLAIN, LOAD, SEAT, [20 * BAR]).opening[0], rel=1e-6
    )
    assert pieces.at([-BAR, 0.0]).tolist() == [0.0, 0.0]
    with pytest.raises(Unphysical, match="above zero"):
        opening_map(PLAIN, LOAD, SEAT, 0.0)
