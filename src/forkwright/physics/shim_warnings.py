"""A word where one is due about a shim stack: a load beside the disc, yield, a lift beyond linear theory."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.shim_answer import Solution
from forkwright.physics.shim_contact import ContactProblem
from forkwright.physics.values import Array


def load_warnings(problem: ContactProblem) -> tuple[str, ...]:
    """Say so when disc 1 does not cover the annulus that the load is given on.

    Parameters
    ----------
    problem : ContactProblem

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


def yield_warnings(solution: Solution, disc_stress: Array) -> tuple[str, ...]:
    """Name each disc whose von Mises stress passes yield, and from which load on.

    Parameters
    ----------
    solution : Solution
    disc_stress : array, shape (p, discs)
        Largest von Mises stress, Pa.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: von Mises yield criterion, any strength-of-materials text.
    """
    stack = solution.problem.stack
    limit = stack.assumed_yield
    origin = "assumed" if stack.yield_stress is None else "given"
    found = []
    for disc in np.flatnonzero(disc_stress.max(axis=0, initial=0.0) > limit):
        start = _smallest_load(solution, disc_stress[:, disc] > limit)
        found.append(
            f"disc {disc + 1} passes its yield stress ({limit / 1e6:.0f} MPa, {origin}) at {start} and above "
            f"({disc_stress[:, disc].max() / 1e6:.0f} MPa at most): it would stay bent"
        )
    return tuple(found)


def large_lift_warnings(solution: Solution) -> tuple[str, ...]:
    """Say from which load on a disc lifts by more than half its thickness.

    Parameters
    ----------
    solution : Solution
        Of linear theory.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: plate theory is linear while the lift is small against the thickness (Timoshenko &
    Woinowsky-Krieger, from memory); half a thickness is our limit.
    """
    relative, large = solution.relative_lift, solution.lifts_far
    if not large.any():
        return ()
    start = _smallest_load(solution, large)
    return (
        f"at {start} and above a disc lifts by more than half its thickness (at most "
        f"{relative.max():.1f} thicknesses): it also stretches, so a flat disc opens less than this linear "
        "answer; ask for geometric stiffening to see how much",
    )


def stretch_warnings(solution: Solution, share: Array) -> tuple[str, ...]:
    """Say what stretching does to the linear opening once a disc lifts by more than half its thickness.

    Parameters
    ----------
    solution : Solution
        With stretching.
    share : array, shape (p,)
        Share of the linear opening that stretching takes away; no unit.

    Returns
    -------
    tuple of str

    Notes
    -----
    Source: as `large_lift_warnings`.
    """
    large = solution.lifts_far
    if not large.any():
        return ()
    least, most = sorted((-100.0 * share[large].min(), -100.0 * share[large].max()), key=abs)
    return (
        f"at {_smallest_load(solution, large)} and above a disc lifts by more than half its thickness: "
        f"stretching changes the linear opening by {least:+.1f} to {most:+.1f} % (already in this answer)",
    )


def _smallest_load(solution: Solution, chosen: NDArray[np.bool_]) -> str:
    """The smallest of the chosen loads in words: a pressure in bar, a ring load in newtons."""
    least, unit = float(solution.pressure[chosen].min()), solution.problem.load.unit
    return f"{least / 1e5:.4g} bar" if unit == "Pa" else f"{least:.4g} {unit}"
