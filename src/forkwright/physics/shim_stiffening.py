"""The shim stack once its discs stretch: von Karman discs in one-sided contact.

A flat ring that is bent into a dish must also stretch, so beyond about half its thickness a disc opens less
than linear theory says. Each disc is a :class:`~forkwright.physics.plate_elements.StretchingDisc`; contact is
the same as in the linear solver. Newton's method: at every step the discs' tangents give the compliance of
the contact points, the contact problem is solved exactly, and the discs follow.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.coned_disc import cone_response
from forkwright.physics.errors import Unphysical
from forkwright.physics.plate_elements import StretchingDisc
from forkwright.physics.plate_stress import von_mises
from forkwright.physics.shim_contact import ContactProblem
from forkwright.physics.shim_path import contact_forces
from forkwright.physics.values import Array

_ENOUGH = 1e-9  # share of the thickest disc to which the lifts must settle
_TRIES = 30  # Newton steps before the load step is halved
_FINEST = 2.0**-14  # smallest load step, as a share of the wanted one


@dataclass(frozen=True)
class StretchedState:
    """A stack at one load: states of its groups (m, 1, m, 1 at each node) and contact forces (N)."""

    discs: tuple[Array, ...]
    force: Array


@dataclass(frozen=True)
class StretchingStack:
    """The discs of a contact problem, able to stretch.

    Attributes
    ----------
    problem : ContactProblem
        Made with neighbours joined only where they are equal in thickness too.
    stretches : bool
        False gives linear theory on the same elements.
    """

    problem: ContactProblem
    stretches: bool = True

    @cached_property
    def discs(self) -> tuple[StretchingDisc, ...]:
        """One set of elements for each group, on the rings of the contact problem."""
        problem, stack = self.problem, self.problem.stack
        made = []
        for group in problem.groups:
            radius = problem.radius[problem.radius <= group.outer_radius]
            free_slope = 0.0
            if group.dish != 0.0:
                _, bend = cone_response(radius[:1], stack.clamp_radius, group.outer_radius, stack.poisson)
                free_slope = group.dish * float(bend.slope[0])
            thickness = group.thickness / len(group.discs)
            made.append(
                StretchingDisc(
                    radius,
                    thickness,
                    len(group.discs),
                    stack.youngs_modulus,
                    stack.poisson,
                    free_slope,
                    self.stretches,
                )
            )
        return tuple(made)

    @property
    def least_steps(self) -> int:
        """Load steps that make sure a snap is not jumped over: one for flat discs."""
        return 1 if all(group.dish == 0.0 for group in self.problem.groups) else 24

    def at_rest(self) -> StretchedState:
        """Every disc alone in its clamp as linear theory has it, no contact force."""
        states = []
        for disc in self.discs:
            flat, bending = np.zeros(disc.unknowns), replace(disc, stretches=False)
            states.append(bending.respond(bending.compliance(flat), -bending.internal_force(flat)))
        return StretchedState(tuple(states), np.zeros(len(self.problem.node)))

    def lift(self, state: StretchedState) -> Array:
        """Lift of every group at every ring, m, shape (groups, n); beyond its rim that of the rim."""
        lift = np.zeros((len(self.discs), len(self.problem.radius)))
        for index, nodes in enumerate(state.discs):
            own = nodes[0::4]
            lift[index, : len(own)] = own
            lift[index, len(own) :] = own[-1]
        return lift

    def energy(self, state: StretchedState) -> float:
        """Elastic energy of all discs, J."""
        return sum(disc.energy(nodes) for disc, nodes in zip(self.discs, state.discs, strict=True))

    def settle(self, load: float, start: StretchedState) -> StretchedState | None:
        """Newton's method from a nearby state at one load (Pa, or N for a ring load); None if it fails."""
        state = start
        tolerance = _ENOUGH * max(disc.thickness for disc in self.discs)
        for _ in range(_TRIES):
            try:
                following = self._newton_step(load, state)
            except np.linalg.LinAlgError:
                return None
            change = max(
                float(np.abs((a - b)[0::4]).max()) for a, b in zip(following.discs, state.discs, strict=True)
            )
            state = following
            if not np.isfinite(change):
                return None
            if change < tolerance:
                return state
        return None

    def stresses(self, state: StretchedState) -> Array:
        """Largest radial, tangential and von Mises stress of every disc, Pa, shape (3, discs)."""
        largest = np.zeros((3, len(self.problem.stack.shims)))
        for group, disc, nodes in zip(self.problem.groups, self.discs, state.discs, strict=True):
            radial, tangential = disc.surface_stresses(nodes)
            sizes = np.abs(radial).max(), np.abs(tangential).max(), von_mises(radial, tangential).max()
            largest[:, list(group.discs)] = np.array(sizes)[:, None]
        return largest

    def _newton_step(self, load: float, state: StretchedState) -> StretchedState:
        problem = self.problem
        gap = problem.flat_gap.copy()
        compliance = np.diag(problem.softness)
        moved: list[tuple[Array, Array, NDArray[np.intp]]] = []
        for index, (disc, nodes) in enumerate(zip(self.discs, state.discs, strict=True)):
            factor = disc.compliance(nodes)
            free = nodes + disc.respond(factor, self._outside(load, index) - disc.internal_force(nodes))
            (touched,) = np.nonzero(problem.push[:, index])
            sign, lifts = problem.push[touched, index], 4 * problem.node[touched]
            pushes = np.zeros((disc.unknowns, len(touched)))
            pushes[lifts, np.arange(len(touched))] = sign
            answer = disc.respond(factor, pushes)
            gap[touched] += sign * free[lifts]
            compliance[np.ix_(touched, touched)] += sign[:, None] * answer[lifts]
            moved.append((free, answer, touched))
        force = contact_forces(compliance, gap, state.force > 0.0)
        return StretchedState(tuple(free + answer @ force[touched] for free, answer, touched in moved), force)

    def _outside(self, load: float, group: int) -> Array:
        force = self._dead_forces[group]
        return force + load * self._load_force if group == 0 else force

    @cached_property
    def _load_force(self) -> Array:
        load, disc = self.problem.load, self.discs[0]
        force = disc.pressure_force(load.inner_radius, load.outer_radius)
        if load.ring_radius is not None and load.ring_area > 0.0:
            force[4 * self.problem.node_at(load.ring_radius)] += load.ring_area
        return force

    @cached_property
    def _dead_forces(self) -> tuple[Array, ...]:
        forces = tuple(np.zeros(disc.unknowns) for disc in self.discs)
        for force, rings in zip(forces, self.problem.dead_rings, strict=True):
            force[0::4] = rings[: len(force) // 4]
        return forces


def stretched_states(stack: StretchingStack, loads: Array) -> tuple[list[StretchedState], tuple[str, ...]]:
    """Settle a stack at each load (Pa, or N for a ring load), growing from rest in steps as small as needed.

    Parameters
    ----------
    stack : StretchingStack
        Discs that bend and stretch.
    loads : array, shape (p,)
        Pa, or N for a ring load; in any order, not below zero.

    Returns
    -------
    states : list of StretchedState
        In the order of the loads.
    warnings : tuple of str
        Where a dished disc snaps through to another shape.

    Raises
    ------
    Unphysical
        If no steady state is found.

    Notes
    -----
    Source: equilibrium of the elements of `plate_elements` (von Karman strains) under growing load.
    """
    states: dict[int, StretchedState] = {}
    warnings: list[str] = []
    before, state = 0.0, stack.settle(0.0, stack.at_rest())
    if state is None:
        raise Unphysical("the preload of the dished discs does not settle when they may stretch")
    longest = float(np.max(loads, initial=0.0)) / stack.least_steps
    for index in np.argsort(loads, kind="stable"):
        wanted = float(loads[index])
        step = min(wanted - before, longest)
        while before < wanted:
            load = min(before + step, wanted)
            following = stack.settle(load, state)
            if following is None and step > _FINEST * wanted:
                step /= 2.0
                continue
            if following is None:
                load, following = _beyond_the_snap(stack, before, longest)
                warnings.append(f"a dished disc snaps through near {before:.4g} {stack.problem.load.unit}")
                step = longest
            before, state = load, following
        states[int(index)] = state if before == wanted else _settled(stack, wanted, state)
    return [states[index] for index in range(len(loads))], tuple(warnings)


def _beyond_the_snap(stack: StretchingStack, load: float, step: float) -> tuple[float, StretchedState]:
    """Return the next load that has a steady state again, and that state."""
    for further in range(1, 4 * stack.least_steps):
        state = stack.settle(load + further * step / 4.0, stack.at_rest())
        if state is not None:
            return load + further * step / 4.0, state
    raise Unphysical(
        f"a disc snaps through near {load:.4g} {stack.problem.load.unit} and finds no steady shape"
    )


def _settled(stack: StretchingStack, load: float, near: StretchedState) -> StretchedState:
    state = stack.settle(load, near)
    if state is None:
        raise Unphysical(f"the discs find no steady shape at {load:.4g} {stack.problem.load.unit}")
    return state
