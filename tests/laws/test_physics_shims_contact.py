"""What one-sided contact must obey in every stack: pushes only, no overlap, least energy, a settled limit."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forkwright.physics.plates import pressure_response, ring_load_response
from forkwright.physics.shim_contact import ContactProblem, contact_problem
from forkwright.physics.shims import (
    BackingSpring,
    Fulcrum,
    Shim,
    ShimLoad,
    ShimStack,
    opening,
    opening_map,
)

LOAD, SEAT = ShimLoad(5e-3, 8e-3), 9e-3
PRESSURES = np.array([0.0, 1e5, 7e5, 30e5, 100e5])

discs = st.builds(
    Shim,
    outer_radius=st.integers(50, 110).map(lambda tenths: tenths * 1e-4),
    thickness=st.sampled_from([0.1e-3, 0.15e-3, 0.2e-3, 0.3e-3]),
    dish=st.sampled_from([0.0, 0.0, 0.0, 0.03e-3, -0.03e-3]),
)
stacks = st.lists(discs, min_size=0, max_size=7).map(
    lambda rest: ShimStack((Shim(10e-3, 0.15e-3), *rest), 4e-3, 2e-3, 206e9, 0.3)
)
fulcrums = st.none() | st.builds(
    Fulcrum, radius=st.sampled_from([5e-3, 6e-3, 7.3e-3]), height=st.sampled_from([0.0, 0.02e-3, 0.1e-3])
)
springs = st.none() | st.builds(
    BackingSpring,
    radius=st.sampled_from([5.5e-3, 7e-3]),
    rate=st.sampled_from([0.0, 20e3, 300e3]),
    preload=st.sampled_from([0.0, 5.0, 60.0]),
)


@settings(max_examples=60, deadline=None)
@given(stack=stacks, fulcrum=fulcrums, spring=springs)
def test_parts_only_push_and_never_overlap(stack, fulcrum, spring):
    """Forces and gaps are never negative, never both positive, and the gaps are those of the bent shapes."""
    got = opening(stack, LOAD, SEAT, PRESSURES, fulcrum=fulcrum, backing_spring=spring)
    assert got.contact_force.min() >= 0.0
    problem = contact_problem(stack, LOAD, SEAT, fulcrum, spring)
    gaps = problem.gaps(problem.lift(PRESSURES, got.contact_force), got.contact_force)
    assert gaps.min() > -1e-8 * max(got.opening.max(), 1e-5)
    both = np.abs(gaps) * got.contact_force
    assert both.max() <= 1e-9 * got.contact_force.max() * max(got.opening.max(), 1e-4)
    assert got.seat_reaction[got.opening > 1e-9].max(initial=0.0) == 0.0


def complementary_energy(problem: ContactProblem, pressure: float, force: np.ndarray) -> float:
    gap = problem.rest_gap + pressure * problem.gap_rate
    return float(0.5 * force @ problem.compliance @ force + gap @ force)


@settings(max_examples=40, deadline=None)
@given(stack=stacks, spring=springs, seed=st.integers(0, 2**32 - 1))
def test_the_contact_forces_make_the_energy_least(stack, spring, seed):
    """Any other set of pushes costs more energy; steps towards the solution lower it all the way."""
    problem, pressure = contact_problem(stack, LOAD, SEAT, None, spring), 7e5
    solved = problem.path(pressure).forces(np.array([pressure]))[0]
    least = complementary_energy(problem, pressure, solved)
    scale = max(solved.max(), 1.0)
    random = np.random.default_rng(seed)
    for spread in (1e-3, 0.1, 1.0):
        other = np.maximum(solved + spread * scale * random.normal(size=len(solved)), 0.0)
        steps = [
            complementary_energy(problem, pressure, other + share * (solved - other))
            for share in np.linspace(0.0, 1.0, 9)
        ]
        assert steps[0] >= least - 1e-12 * max(abs(least), 1e-12)
        assert np.all(np.diff(steps) <= 1e-10 * max(abs(steps[0]), 1e-12))


@settings(max_examples=25, deadline=None)
@given(stack=stacks)
def test_joining_neighbours_of_one_diameter_changes_nothing(stack):
    """Joining neighbours of one diameter gives what every disc alone gives (up to the ring spacing)."""
    lifts = []
    for join in (True, False):
        problem = contact_problem(stack, LOAD, SEAT, fineness=24, join=join)
        force = problem.path(PRESSURES[-1]).forces(PRESSURES)
        lifts.append(problem.lift(PRESSURES, force)[:, 0, problem.node_at(SEAT)])
    assert lifts[1] == pytest.approx(lifts[0], rel=3e-3, abs=2e-8)


def test_the_answer_settles_as_the_rings_get_finer():
    """Over a crossover disc, where the touching ring wanders, the change falls with the ring spacing."""
    stack = ShimStack(
        tuple(Shim(r * 1e-3, t * 1e-3) for r, t in [(10, 0.15), (10, 0.15), (6, 0.1), (9, 0.15), (9, 0.15)]),
        4e-3,
        2e-3,
    )
    finest, *coarser = (
        opening(stack, ShimLoad.ring(10e-3), 10e-3, [80.0], fineness=rings).opening[0]
        for rings in (144, 9, 18, 36)
    )
    errors = np.abs(np.array(coarser) / finest - 1.0)
    assert errors[0] < 3e-3
    assert errors[2] < 2e-4
    assert errors[2] < errors[0] / 3.0


def test_between_rings_the_discs_do_not_cut_into_each_other():
    """Looked at between the rings of the mesh, the overlap stays under a thousandth of a disc's thickness."""
    stack = ShimStack(tuple(Shim((10 - 0.7 * i) * 1e-3, 0.15e-3) for i in range(7)), 4e-3, 2e-3)
    problem, pressure = contact_problem(stack, LOAD, SEAT), 20e5
    rings = problem.ring_forces(problem.path(pressure).forces(np.array([pressure])))[0]
    looked_at = np.linspace(4e-3, 10e-3, 601)
    lifts = []
    for index, group in enumerate(problem.groups):
        own = looked_at[looked_at <= group.outer_radius]
        bend = ring_load_response(own[:, None], problem.radius, 4e-3, group.outer_radius, 0.3).lift
        lifts.append(bend @ rings[index] / group.rigidity)
    pressed = pressure_response(looked_at, 5e-3, 8e-3, 4e-3, 10e-3, 0.3).lift
    lifts[0] = lifts[0] + pressure * pressed / problem.groups[0].rigidity
    gaps = [upper - lower[: len(upper)] for lower, upper in pairwise(lifts)]
    assert min(gap.min() for gap in gaps) > -0.15e-6
    assert max(gap.max() for gap in gaps) > 1e-6  # somewhere they do part


@settings(max_examples=25, deadline=None)
@given(stack=stacks)
def test_the_map_is_the_answer_at_every_pressure(stack):
    """The straight pieces of the map pass through every single answer, corners included."""
    pieces = opening_map(stack, LOAD, SEAT, 100e5)
    between = np.sort(np.concatenate([pieces.pressure, (pieces.pressure[1:] + pieces.pressure[:-1]) / 2.0]))
    single = opening(stack, LOAD, SEAT, between).opening
    assert pieces.at(between) == pytest.approx(single, rel=1e-6, abs=1e-11)


@settings(max_examples=25, deadline=None)
@given(stack=stacks, factor=st.floats(0.3, 3.0))
def test_a_stiffer_steel_asks_for_as_much_more_pressure(stack, factor):
    """Young's modulus and pressure raised by one factor leave every lift as it was (dimensions)."""
    stiffer = ShimStack(stack.shims, stack.clamp_radius, stack.bore_radius, stack.youngs_modulus * factor)
    soft = opening(stack, LOAD, SEAT, PRESSURES).opening
    assert opening(stiffer, LOAD, SEAT, PRESSURES * factor).opening == pytest.approx(
        soft, rel=1e-6, abs=1e-12
    )


@pytest.mark.parametrize("change", ["thicker disc", "further disc", "wider clamp"])
def test_more_steel_opens_less(change):
    """A thicker disc, one disc more at the back, or a wider clamp never opens further."""
    base = [Shim(10e-3, 0.15e-3), Shim(9e-3, 0.15e-3), Shim(7e-3, 0.15e-3)]
    clamp = 4.5e-3 if change == "wider clamp" else 4e-3
    if change == "thicker disc":
        base[1] = Shim(9e-3, 0.2e-3)
    if change == "further disc":
        base.append(Shim(6e-3, 0.2e-3))
    plain = opening(
        ShimStack((Shim(10e-3, 0.15e-3), Shim(9e-3, 0.15e-3), Shim(7e-3, 0.15e-3)), 4e-3, 2e-3),
        LOAD,
        SEAT,
        PRESSURES,
    )
    changed = opening(ShimStack(tuple(base), clamp, 2e-3), LOAD, SEAT, PRESSURES)
    assert np.all(changed.opening[1:] < plain.opening[1:])


@pytest.mark.parametrize("count", [2, 3, 7])
def test_equal_discs_are_that_many_times_as_stiff(count: int) -> None:
    """n equal frictionless discs lift as one disc under 1/n of the load."""

    def lift(discs: int) -> float:
        stack = ShimStack((Shim(10e-3, 0.15e-3),) * discs, 4e-3, 2e-3, 206e9, 0.3)
        return float(opening(stack, LOAD, 9.5e-3, [3e5]).opening[0])

    assert lift(count) == pytest.approx(lift(1) / count, rel=1e-12)
    assert lift(1) > 0.0
