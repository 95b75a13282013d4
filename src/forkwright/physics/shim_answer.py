"""What the shim solver says, laid out for the reader: lift at the seat, stress and contacts by disc."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.plate_stress import bending_stresses, von_mises
from forkwright.physics.plates import PlateBend
from forkwright.physics.shim_contact import GROUND, ContactProblem
from forkwright.physics.values import Array

_CLOSED = 1e-13  # m; a lift at the seat below it is rounding
LARGE_LIFT = 0.5  # share of a disc's thickness beyond which its stretch is no longer small


@dataclass(frozen=True)
class ShimOpening:
    """What a stack does over a list of pressures (axis 0 everywhere).

    Attributes
    ----------
    pressure : ndarray, shape (p,)
        Pressure difference across the stack, Pa (newtons for a pure ring load).
    opening : ndarray, shape (p,)
        Lift of disc 1 above the seat, m.
    stress : ndarray, shape (p,)
        Largest von Mises stress in any disc, Pa.
    radial_stress, tangential_stress : ndarray, shape (p, discs)
        Largest size of the two stresses in each disc, Pa.
    seat_reaction : ndarray, shape (p,)
        Force with which disc 1 still presses on the seat, N.
    contact_radius : ndarray, shape (m,)
        Where parts may touch, m.
    contact_lower, contact_upper : ndarray of int, shape (m,)
        The disc numbers that meet there, 1 next to the valve face; 0 below stands for the seat, discs + 1
        above for a fulcrum or spring. Neighbours of one diameter bend as one and are left out.
    contact_force, contact_gap : ndarray, shape (p, m)
        N and m, never negative and never both positive.
    stiffening_share : ndarray, shape (p,) or None
        Share of the linear opening that stretching takes away, no unit; None when it was not asked for.
    lifts_far : bool
        Whether a disc lifts by more than half its thickness at any of the pressures: then it also stretches.
    warnings : tuple of str
    """

    pressure: Array
    opening: Array
    stress: Array
    radial_stress: Array
    tangential_stress: Array
    seat_reaction: Array
    contact_radius: Array
    contact_lower: NDArray[np.intp]
    contact_upper: NDArray[np.intp]
    contact_force: Array
    contact_gap: Array
    stiffening_share: Array | None
    lifts_far: bool
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Solution:
    """What the solver found at some loads, still by groups, rings and contacts.

    Attributes
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    seat_radius : float
        m.
    pressure : ndarray, shape (p,)
        Load of each answer, Pa (N for a ring load).
    lift : ndarray, shape (p, groups, rings)
        Lift of every group of discs at every ring, m.
    force : ndarray, shape (p, contacts)
        Contact forces, N.
    """

    problem: ContactProblem
    seat_radius: float
    pressure: Array
    lift: Array
    force: Array

    @property
    def opening(self) -> Array:
        """Lift of disc 1 above the seat, m, shape (p,), not below zero."""
        above = self.lift[:, 0, self.problem.node_at(self.seat_radius)] - self.problem.stack.seat_height
        return np.where(above > _CLOSED, above, 0.0)

    @property
    def relative_lift(self) -> Array:
        """Largest rim movement of any disc from its rest, in its own thicknesses, shape (p,)."""
        problem = self.problem
        relative = np.zeros(len(self.lift))
        for index, group in enumerate(problem.groups):
            rim = problem.node_at(group.outer_radius)
            thinnest = min(problem.stack.shims[disc].thickness for disc in group.discs)
            moved = np.abs(self.lift[:, index, rim] - problem.rest_height[index, rim])
            relative = np.maximum(relative, moved / thinnest)
        return relative

    @property
    def lifts_far(self) -> NDArray[np.bool_]:
        """Where a disc lifts so far that its stretch is no longer small, shape (p,)."""
        return self.relative_lift > LARGE_LIFT


def report(
    solution: Solution,
    stresses: tuple[Array, Array, Array],
    warnings: tuple[str, ...],
    stiffening_share: Array | None = None,
) -> ShimOpening:
    """Lay out an answer (SI throughout) for the reader: disc numbers instead of groups, the seat apart.

    Parameters
    ----------
    solution : Solution
    stresses : tuple of three arrays, shape (p, discs)
        Radial, tangential and von Mises peaks, Pa.
    warnings : tuple of str
    stiffening_share : array, optional
        Change of the opening by stretching, as a share; no unit.

    Returns
    -------
    ShimOpening

    Notes
    -----
    Source: nothing is computed here but which disc a group's end is.
    """
    problem, force = solution.problem, solution.force
    first = np.array([group.discs[0] + 1 for group in problem.groups] + [len(problem.stack.shims) + 1])
    last = np.array([group.discs[-1] + 1 for group in problem.groups] + [0])
    seat = (problem.lower == GROUND).nonzero()[0]
    gap = np.maximum(problem.gaps(solution.lift, force), 0.0)
    return ShimOpening(
        pressure=solution.pressure,
        opening=solution.opening,
        stress=stresses[2].max(axis=1),
        radial_stress=stresses[0],
        tangential_stress=stresses[1],
        seat_reaction=force[:, seat].sum(axis=1),
        contact_radius=problem.radius[problem.node],
        contact_lower=last[problem.lower],
        contact_upper=first[problem.upper],
        contact_force=force,
        contact_gap=np.where(force > 0.0, 0.0, gap),
        stiffening_share=stiffening_share,
        lifts_far=bool(solution.lifts_far.any()),
        warnings=warnings,
    )


def bending_stress_peaks(solution: Solution) -> tuple[Array, Array, Array]:
    """Largest radial, tangential and von Mises stress of each disc, Pa, each of shape (p, discs).

    Parameters
    ----------
    solution : Solution
        Of linear theory.

    Returns
    -------
    radial, tangential, von_mises : array, shape (p, discs)
        Largest magnitude in each disc, Pa.

    Notes
    -----
    Source: `plate_stress.bending_stresses` and `plate_stress.von_mises`. Discs of one group share its bend,
    so their stresses go with their thicknesses.
    """
    problem, stack = solution.problem, solution.problem.stack
    rings = problem.ring_forces(solution.force)
    slope = problem.bend(solution.pressure, rings, "slope") + problem.rest_bend.slope
    curvature = problem.bend(solution.pressure, rings, "curvature") + problem.rest_bend.curvature
    largest = np.zeros((3, len(solution.pressure), len(stack.shims)))
    for index, group in enumerate(problem.groups):
        covered = problem.radius <= group.outer_radius
        radius = problem.radius[covered]
        bend = PlateBend(np.zeros_like(radius), slope[:, index, covered], curvature[:, index, covered])
        radial, tangential = bending_stresses(radius, bend, stack.youngs_modulus, 1.0, stack.poisson)
        sizes = [
            np.abs(radial).max(axis=1),
            np.abs(tangential).max(axis=1),
            von_mises(radial, tangential).max(axis=1),
        ]
        for disc in group.discs:
            largest[:, :, disc] = np.array(sizes) * stack.shims[disc].thickness
    return largest[0], largest[1], largest[2]
