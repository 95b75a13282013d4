"""Stretching discs: energy and force agree, small lifts are linear, contact stays one-sided."""

from __future__ import annotations

import numpy as np
import pytest

from forkwright.physics.coned_disc import cone_response
from forkwright.physics.errors import Unphysical
from forkwright.physics.plate_elements import StretchingDisc
from forkwright.physics.plates import plate_rigidity, pressure_response
from forkwright.physics.shim_contact import contact_problem
from forkwright.physics.shim_stiffening import StretchingStack, stretched_states
from forkwright.physics.shims import Shim, ShimLoad, ShimStack, opening, opening_map

LOAD, SEAT = ShimLoad(5e-3, 8e-3), 9e-3
RADIUS = np.linspace(4e-3, 10e-3, 25)
LOOSE = ShimStack(
    tuple(Shim(r * 1e-3, t * 1e-3) for r, t in [(10, 0.15), (10, 0.15), (6, 0.1), (9, 0.15), (8, 0.2)]),
    4e-3,
    2e-3,
)


def random_state(disc: StretchingDisc, seed: int, size: float = 1.0) -> np.ndarray:
    scales = np.array([1e-4, 1e-2, 1e-6, 1e-3]) * size
    state = (np.random.default_rng(seed).normal(size=(len(disc.radius), 4)) * scales).reshape(-1)
    state[:3] = 0.0
    return state


@pytest.mark.parametrize("free_slope", [0.0, 0.02])
@pytest.mark.parametrize("stretches", [False, True])
def test_force_is_the_slope_of_the_energy(free_slope, stretches):
    """Along any direction the force times the step is the change of energy."""
    disc = StretchingDisc(RADIUS, 0.15e-3, 2, 206e9, 0.3, free_slope, stretches)
    state, step = random_state(disc, 1), random_state(disc, 2, 1e-5)
    difference = (disc.energy(state + step) - disc.energy(state - step)) / 2.0
    assert difference == pytest.approx(disc.internal_force(state) @ step, rel=1e-6)


def test_tangent_is_the_slope_of_the_force():
    """The factored tangent gives back the step from the change of force."""
    disc = StretchingDisc(RADIUS, 0.15e-3, 1, 206e9, 0.3)
    state, step = random_state(disc, 1, 1e-3), random_state(disc, 2, 1e-6)
    change = (disc.internal_force(state + step) - disc.internal_force(state - step)) / 2.0
    assert disc.respond(disc.compliance(state), change) == pytest.approx(step, rel=1e-4, abs=1e-12)


def test_elements_close_in_on_the_closed_form_as_they_get_finer():
    """Bending alone: the rim's error falls at least with the fourth power of the ring width."""
    exact = float(pressure_response(10e-3, 4e-3, 10e-3, 4e-3, 10e-3, 0.3).lift) / plate_rigidity(
        206e9, 0.15e-3, 0.3
    )
    errors = []
    for rings in (4, 8, 16):
        disc = StretchingDisc(np.linspace(4e-3, 10e-3, rings + 1), 0.15e-3, 1, 206e9, 0.3, stretches=False)
        flat = np.zeros(disc.unknowns)
        rim = disc.respond(disc.compliance(flat), disc.pressure_force(4e-3, 10e-3))[-4]
        errors.append(abs(rim / exact - 1.0))
    assert errors[1] < errors[0] / 12.0
    assert errors[2] < errors[1] / 12.0


def test_a_clamped_cone_has_the_closed_form_shape():
    """Elements and closed form agree on the shape a coned disc takes in its clamp."""
    height, bend = cone_response(RADIUS, 4e-3, 10e-3, 0.3)
    slope = -float(bend.slope[0]) * 1e-4
    disc = StretchingDisc(RADIUS, 0.15e-3, 1, 206e9, 0.3, slope, stretches=False)
    flat = np.zeros(disc.unknowns)
    shape = disc.respond(disc.compliance(flat), -disc.internal_force(flat))[0::4]
    assert shape == pytest.approx(1e-4 * height, abs=1e-10)


def test_without_stretch_the_elements_are_the_linear_stack():
    """The element twin of the whole stack, contact and crossover gap included, gives the linear lifts."""
    pressures = np.array([1e5, 10e5, 60e5])
    problem = contact_problem(LOOSE, LOAD, SEAT, same_thickness=True)
    twin = StretchingStack(problem, stretches=False)
    states, _ = stretched_states(twin, pressures)
    at = problem.node_at(SEAT)
    lifts = [twin.lift(state)[0, at] for state in states]
    assert lifts == pytest.approx(opening(LOOSE, LOAD, SEAT, pressures).opening, rel=1e-4)


def test_small_lifts_do_not_stretch():
    """The share of stretching falls with the square of the lift."""
    shares = opening(LOOSE, LOAD, SEAT, [0.5e5, 1e5, 2e5], stiffening=True).stiffening_share
    assert shares[0] < 2e-3
    assert shares[1] / shares[0] == pytest.approx(4.0, rel=0.1)
    assert shares[2] / shares[1] == pytest.approx(4.0, rel=0.15)


def test_the_stretched_map_follows_the_stretched_answers():
    """Between its steps the map stays within half a per cent of the answer itself."""
    pieces = opening_map(LOOSE, LOAD, SEAT, 40e5, stiffening=True)
    between = np.array([3.3e5, 11.7e5, 38.4e5])
    assert pieces.at(between) == pytest.approx(
        opening(LOOSE, LOAD, SEAT, between, stiffening=True).opening, rel=5e-3
    )


def test_stretching_discs_only_push_and_the_settled_state_costs_least():
    """No pull, no overlap; an allowed small move raises the energy less the work of the pressure."""
    problem = contact_problem(LOOSE, LOAD, SEAT, same_thickness=True)
    stack, pressure = StretchingStack(problem), 40e5
    (state,), _ = stretched_states(stack, np.array([pressure]))
    gaps = problem.gaps(stack.lift(state)[None], state.force[None])[0]
    assert state.force.min() >= 0.0
    assert gaps.min() > -1e-11
    assert np.abs(gaps * state.force).max() < 1e-9
    pushed = pressure * stack.discs[0].pressure_force(LOAD.inner_radius, LOAD.outer_radius)
    settled = stack.energy(state) - pushed @ state.discs[0]
    last = stack.discs[-1]  # nothing lies behind it: it may lift off by any small bump
    for height in (1e-9, 1e-8, 1e-7):
        reach = (last.radius - 4e-3) / (last.radius[-1] - 4e-3)
        bump = np.zeros((len(last.radius), 4))
        bump[:, 0], bump[:, 1] = height * reach**2, height * 2.0 * reach / (last.radius[-1] - 4e-3)
        moved = (*state.discs[:-1], state.discs[-1] + bump.reshape(-1))
        energy = sum(disc.energy(nodes) for disc, nodes in zip(stack.discs, moved, strict=True))
        assert energy - pushed @ moved[0] > settled


def test_a_strongly_dished_disc_that_snaps_is_said_not_hidden():
    """A deep cone jumps to another shape: the pressure is named; one too deep to hold is refused."""
    load, pressures = ShimLoad(5e-3, 8e-3), np.linspace(0.0, 10e5, 5)

    def with_cone(dish: float) -> ShimStack:
        return ShimStack(
            (Shim(10e-3, 0.15e-3), Shim(10e-3, 0.15e-3, dish=dish), Shim(9e-3, 0.15e-3)), 4e-3, 2e-3
        )

    calm = opening(with_cone(0.05e-3), load, 9.5e-3, pressures, stiffening=True)
    assert not any("snaps" in warning for warning in calm.warnings)
    deep = opening(with_cone(0.2e-3), load, 9.5e-3, pressures, stiffening=True)
    assert any("snaps through near" in warning for warning in deep.warnings)
    assert np.all(np.diff(deep.opening[1:]) > 0.0)
    with pytest.raises(Unphysical, match="does not settle"):
        opening(with_cone(0.4e-3), load, 9.5e-3, pressures, stiffening=True)
