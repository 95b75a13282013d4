"""What the shim solver says, laid out for the reader: lift, stress, contacts, and a word where one is due."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.plate_stress import bending_stresses, von_mises
from forkwright.physics.plates import PlateBend
from forkwright.physics.shim_contact import GROUND, ContactProblem
from forkwright.physics.values import Array

__all__ = [
    "ShimOpening",
    "bending_stress_peaks",
    "large_lift_warnings",
    "load_warnings",
    "report",
    "seat_lift",
    "stretch_warnings",
    "yield_warnings",
]

_LARGE_LIFT = 0.5  # share of a disc's thickness beyond which its stretch is no longer small


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
    warnings: tuple[str, ...]


def seat_lift(problem: ContactProblem, seat_radius: float, lift: Array) -> Array:
    """Lift of disc 1 above the seat (m) from the lifts of all groups (m) and the seat radius (m).

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    seat_radius : float
        m.
    lift : array, shape (p, groups, rings)
        Lift of every group of discs at every ring, m.

    Returns
    -------
    array, shape (p,)
        m, not below zero.

    Notes
    -----
    Source: geometry; less than 1e-13 m counts as closed.
    """
    above = lift[:, 0, problem.node_at(seat_radius)] - problem.stack.seat_height
    return np.where(above > 1e-13, above, 0.0)


def report(
    problem: ContactProblem,
    seat_radius: float,
    pressure: Array,
    lift: Array,
    force: Array,
    stresses: tuple[Array, Array, Array],
    warnings: tuple[str, ...],
    stiffening_share: Array | None = None,
) -> ShimOpening:
    """Lay out an answer (SI throughout) for the reader: disc numbers instead of groups, the seat apart.

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    seat_radius : float
        m.
    pressure : array, shape (p,)
        Load of each answer, Pa (N for a ring load).
    lift : array, shape (p, groups, rings)
        Lift of every group of discs at every ring, m.
    force : array, shape (p, contacts)
        Contact forces, N.
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
    Source: nothing is computed here but what `seat_lift` does.
    """
    first = np.array([group.discs[0] + 1 for group in problem.groups] + [len(problem.stack.shims) + 1])
    last = np.array([group.discs[-1] + 1 for group in problem.groups] + [0])
    seat = (problem.lower == GROUND).nonzero()[0]
    gap = np.maximum(problem.gaps(lift, force), 0.0)
    return ShimOpening(
        pressure=pressure,
        opening=seat_lift(problem, seat_radius, lift),
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
        warnings=warnings,
    )


def load_warnings(problem: ContactProblem) -> tuple[str, ...]:
    """Say so when disc 1 does not cover the annulus that the load is given on.

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: geometry.
    """
    load, rim = problem.load, problem.stack.shims[0].outer_radius
    if load.outer_radius > rim * (1 + 1e-9):
        return (
            f"the pressed annulus reaches diameter {load.outer_radius * 2e3:g} mm but disc 1 ends at "
            f"{rim * 2e3:g} mm: only the covered part pushes",
        )
    return ()


def yield_warnings(problem: ContactProblem, pressure: Array, disc_stress: Array) -> tuple[str, ...]:
    """Name each disc whose von Mises stress (Pa, shape (p, discs)) passes yield, and where (Pa).

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    pressure : array, shape (p,)
        Load of each answer, Pa (N for a ring load).
    disc_stress : array, shape (p, discs)
        Largest von Mises stress, Pa.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: von Mises yield criterion, any strength-of-materials text.
    """
    stack = problem.stack
    limit = stack.assumed_yield
    origin = "assumed" if stack.yield_stress is None else "given"
    found = []
    for disc in np.flatnonzero(disc_stress.max(axis=0, initial=0.0) > limit):
        first = _load_text(problem, pressure[disc_stress[:, disc] > limit])
        found.append(
            f"disc {disc + 1} passes its yield stress ({limit / 1e6:.0f} MPa, {origin}) at {first} and above "
            f"({disc_stress[:, disc].max() / 1e6:.0f} MPa at most): it would stay bent"
        )
    return tuple(found)


def large_lift_warnings(problem: ContactProblem, pressure: Array, lift: Array) -> tuple[str, ...]:
    """Say from which pressure on a disc lifts by more than half its thickness.

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    pressure : array, shape (p,)
        Load of each answer, Pa (N for a ring load).
    lift : array, shape (p, groups, rings)
        Lift of every group of discs at every ring, m.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: plate theory is linear while the lift is small against the thickness (Timoshenko &
    Woinowsky-Krieger, from memory); half a thickness is our limit.
    """
    relative = _relative_lift(problem, lift)
    if relative.max(initial=0.0) <= _LARGE_LIFT:
        return ()
    start = _load_text(problem, pressure[relative > _LARGE_LIFT])
    return (
        f"at {start} and above a disc lifts by more than half its thickness (at most "
        f"{relative.max():.1f} thicknesses): it also stretches, so a flat disc opens less than this linear "
        "answer; ask for geometric stiffening to see how much",
    )


def stretch_warnings(problem: ContactProblem, pressure: Array, lift: Array, share: Array) -> tuple[str, ...]:
    """Say what stretching does to the linear opening once a disc lifts by more than half its thickness.

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    pressure : array, shape (p,)
        Load of each answer, Pa (N for a ring load).
    lift : array, shape (p, groups, rings)
        Lift of every group of discs at every ring, m.
    share : array, shape (p,)
        Change of the opening by stretching, as a share; no unit.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: as `large_lift_warnings`.
    """
    large = _relative_lift(problem, lift) > _LARGE_LIFT
    if not large.any():
        return ()
    least, most = sorted((-100.0 * share[large].min(), -100.0 * share[large].max()), key=abs)
    return (
        f"at {_load_text(problem, pressure[large])} and above a disc lifts by more than half its thickness: "
        f"stretching changes the linear opening by {least:+.1f} to {most:+.1f} % (already in this answer)",
    )


def _load_text(problem: ContactProblem, loads: Array) -> str:
    """The smallest of some loads in words: a pressure in bar, a ring load in newtons."""
    least = float(loads.min())
    return f"{least / 1e5:.4g} bar" if problem.load.unit == "Pa" else f"{least:.4g} {problem.load.unit}"


def _relative_lift(problem: ContactProblem, lift: Array) -> Array:
    """Largest rim movement of any disc, in its own thicknesses, at each pressure."""
    relative = np.zeros(len(lift))
    for index, group in enumerate(problem.groups):
        rim = problem.node_at(group.outer_radius)
        thinnest = min(problem.stack.shims[disc].thickness for disc in group.discs)
        moved = np.abs(lift[:, index, rim] - problem.rest_height[index, rim])
        relative = np.maximum(relative, moved / thinnest)
    return relative


def bending_stress_peaks(
    problem: ContactProblem, pressure: Array, force: Array
) -> tuple[Array, Array, Array]:
    """Largest radial, tangential and von Mises stress of each disc, Pa, each of shape (p, discs).

    Parameters
    ----------
    problem : ContactProblem
        The stack, its load and where its discs may touch.
    pressure : array, shape (p,)
        Load of each answer, Pa (N for a ring load).
    force : array, shape (p, contacts)
        Contact forces, N.

    Returns
    -------
    radial, tangential, von_mises : array, shape (p, discs)
        Largest magnitude in each disc, Pa.

    Notes
    -----
    Source: `plates.bending_stresses` and `plates.von_mises`.
    """
    stack = problem.stack
    rings = problem.ring_forces(force)
    slope = problem.bend(pressure, rings, "slope") + problem.rest_bend.slope
    curvature = problem.bend(pressure, rings, "curvature") + problem.rest_bend.curvature
    largest = np.zeros((3, len(pressure), len(stack.shims)))
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
