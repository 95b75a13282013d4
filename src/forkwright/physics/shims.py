"""How far a shim stack opens: pressure in, lift at the seat, stress and contact forces out.

Start with :func:`opening` (one stack, a list of pressures, everything a technician asks) or
:func:`opening_map` (the bare lift as exact straight pieces, for a damper that asks thousands of times).
:func:`deflected_shapes` gives the bent discs for a drawing. The parts are described in
:mod:`forkwright.physics.shim_stack`.

Signs: lift is positive away from the valve face; disc 1 lies on the face; stresses are positive numbers
(size).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from forkwright.physics.errors import Unphysical
from forkwright.physics.shim_answer import (
    ShimOpening,
    bending_stress_peaks,
    large_lift_warnings,
    load_warnings,
    report,
    seat_lift,
    stretch_warnings,
    yield_warnings,
)
from forkwright.physics.shim_contact import ContactProblem, contact_problem
from forkwright.physics.shim_path import ContactPath
from forkwright.physics.shim_stack import BackingSpring, Fulcrum, Shim, ShimLoad, ShimStack
from forkwright.physics.shim_stiffening import StretchingStack, stretched_states
from forkwright.physics.values import Array

__all__ = [
    "BackingSpring",
    "DiscShape",
    "Fulcrum",
    "OpeningMap",
    "Shim",
    "ShimLoad",
    "ShimOpening",
    "ShimStack",
    "SolvedStack",
    "deflected_shapes",
    "opening",
    "opening_map",
    "solved_stack",
]

_STRETCH_STEPS = 40  # pieces of a map whose discs stretch


@dataclass(frozen=True)
class OpeningMap:
    """Lift against pressure in straight pieces.

    Attributes
    ----------
    pressure, opening : ndarray, shape (k,)
        Corners of the curve: Pa, m. The last corner is the highest pressure asked for.
    warnings : tuple of str
    """

    pressure: Array
    opening: Array
    warnings: tuple[str, ...]

    @property
    def cracking_pressure(self) -> float:
        """Highest known pressure at which the seat is still closed, Pa."""
        closed = np.flatnonzero(self.opening <= 1e-9 * max(float(self.opening.max()), 1e-12))
        return float(self.pressure[closed[-1]]) if len(closed) else 0.0

    def at(self, pressure: ArrayLike) -> Array:
        """Lift (m) at any pressures (Pa); beyond the last corner the last piece goes on."""
        wanted = np.asarray(pressure, float)
        lift = np.interp(wanted, self.pressure, self.opening)
        if len(self.pressure) > 1:
            slope = (self.opening[-1] - self.opening[-2]) / (self.pressure[-1] - self.pressure[-2])
            lift = lift + slope * np.maximum(wanted - self.pressure[-1], 0.0)
        return np.asarray(lift)


@dataclass(frozen=True)
class DiscShape:
    """One bent disc for a drawing: height of its lower face above the clamp plane, and radius (m)."""

    radius: Array
    height: Array
    thickness: float


def opening(
    stack: ShimStack,
    load: ShimLoad,
    seat_radius: float,
    pressures: ArrayLike,
    *,
    stiffening: bool = False,
    fulcrum: Fulcrum | None = None,
    backing_spring: BackingSpring | None = None,
    fineness: int | None = None,
) -> ShimOpening:
    """Lift at the seat, stress and contacts of a stack at each pressure.

    Parameters
    ----------
    stack : ShimStack
        Discs from the valve face outwards.
    load : ShimLoad
        Where the pressure reaches disc 1.
    seat_radius : float
        Where the opening is read and the closed disc rests, m.
    pressures : array_like, shape (p,)
        Pressure difference, Pa (newtons for :meth:`ShimLoad.ring`); not negative.
    stiffening : bool
        Let the discs stretch as well as bend (slower, nonlinear).
    fulcrum, backing_spring
        Adjusters behind the stack, or None.
    fineness : int or None
        Rings across the widest disc; None is right for use.

    Returns
    -------
    ShimOpening

    Raises
    ------
    Unphysical
        A negative pressure, or a seat, load or support where no disc is.

    Source
    ------
    Derived (plate theory and one-sided contact, see :mod:`~forkwright.physics.plates` and
    :mod:`~forkwright.physics.shim_path`); held to handbook plates and to an independent finite-element
    program.

    Examples
    --------
    >>> stack = ShimStack((Shim(10e-3, 0.15e-3), Shim(7e-3, 0.15e-3)), 4e-3, 2e-3, 206e9, 0.3)
    >>> lift = opening(stack, ShimLoad.ring(10e-3), 10e-3, [0.0, 20.0]).opening
    >>> [round(float(x) * 1e6, 3) for x in lift]
    [0.0, 274.344]
    """
    pressure = _checked(pressures)
    problem = contact_problem(
        stack, load, seat_radius, fulcrum, backing_spring, fineness=fineness, same_thickness=stiffening
    )
    force = problem.path(float(pressure.max(initial=0.0))).forces(pressure)
    lift = problem.lift(pressure, force)
    if stiffening:
        return _stretched(problem, seat_radius, pressure, lift)
    stresses = bending_stress_peaks(problem, pressure, force)
    warnings = (
        *load_warnings(problem),
        *yield_warnings(problem, pressure, stresses[2]),
        *large_lift_warnings(problem, pressure, lift),
    )
    return report(problem, seat_radius, pressure, lift, force, stresses, warnings)


def opening_map(
    stack: ShimStack,
    load: ShimLoad,
    seat_radius: float,
    highest_pressure: float,
    *,
    stiffening: bool = False,
    fulcrum: Fulcrum | None = None,
    backing_spring: BackingSpring | None = None,
    fineness: int | None = None,
) -> OpeningMap:
    """Lift at the seat as straight pieces from zero to the highest pressure.

    Linear theory gives the pieces exactly; with stretching they join answers at even steps of pressure.

    Parameters
    ----------
    stack, load, fulcrum, backing_spring
        As for :func:`opening`.
    seat_radius : float
        m.
    highest_pressure : float
        Pa, above zero.
    stiffening : bool
        Let the discs stretch as well as bend.
    fineness : int or None
        As for :func:`opening`.

    Returns
    -------
    OpeningMap

    Raises
    ------
    Unphysical
        As for :func:`opening`, or if the highest pressure is not above zero.

    Notes
    -----
    Source: as :func:`opening`; straight between changes of contact (derived).

    Examples
    --------
    >>> stack = ShimStack((Shim(10e-3, 0.15e-3),), 4e-3, 2e-3, 206e9, 0.3)
    >>> lift = opening_map(stack, ShimLoad(4e-3, 10e-3), 10e-3, 10e5).at([1e5, 2e5])
    >>> [round(float(x) * 1e6, 4) for x in lift]
    [277.0024, 554.0049]
    """
    if not (np.isfinite(highest_pressure) and highest_pressure > 0.0):
        raise Unphysical(f"the highest pressure must be above zero, not {highest_pressure:g} Pa")
    if stiffening:
        steps = np.linspace(0.0, highest_pressure, _STRETCH_STEPS + 1)
        stretched = opening(
            stack,
            load,
            seat_radius,
            steps,
            stiffening=True,
            fulcrum=fulcrum,
            backing_spring=backing_spring,
            fineness=fineness,
        )
        return OpeningMap(steps, stretched.opening, stretched.warnings)
    problem = contact_problem(stack, load, seat_radius, fulcrum, backing_spring, fineness=fineness)
    path = problem.path(highest_pressure)
    corners = np.append(path.load, highest_pressure)
    force = path.forces(corners)
    lift = seat_lift(problem, seat_radius, problem.lift(corners, force))
    keep = _true_corners(corners, lift)
    return OpeningMap(corners[keep], lift[keep], load_warnings(problem))


def deflected_shapes(
    stack: ShimStack,
    load: ShimLoad,
    seat_radius: float,
    pressure: float,
    *,
    fulcrum: Fulcrum | None = None,
    backing_spring: BackingSpring | None = None,
) -> tuple[DiscShape, ...]:
    """Bent shape of every disc at one pressure (Pa; linear theory), the valve face first (seat radius in m).

    Parameters
    ----------
    stack, load, fulcrum, backing_spring
        As for :func:`opening`.
    seat_radius : float
        m.
    pressure : float
        Pa (N for a ring load).

    Returns
    -------
    tuple of DiscShape
        Radius and height of every disc, m, the valve face first.

    Raises
    ------
    Unphysical
        As for :func:`opening`.

    Notes
    -----
    Source: as :func:`opening`.

    Examples
    --------
    >>> stack = ShimStack((Shim(10e-3, 0.15e-3), Shim(7e-3, 0.15e-3)), 4e-3, 2e-3, 206e9, 0.3)
    >>> first, second = deflected_shapes(stack, ShimLoad.ring(10e-3), 10e-3, 20.0)
    >>> round(float(first.height[-1]) * 1e6, 3), round(float(second.height[0]) * 1e6, 3)
    (274.344, 150.0)
    """
    return solved_stack(
        stack, load, seat_radius, pressure, fulcrum=fulcrum, backing_spring=backing_spring
    ).shapes(pressure)


@dataclass(frozen=True)
class SolvedStack:
    """A stack whose contacts are known for every load up to the highest (Pa, or N for a ring load)."""

    stack: ShimStack
    problem: ContactProblem
    path: ContactPath

    def shapes(self, pressure: float) -> tuple[DiscShape, ...]:
        """Bent shape of every disc at one pressure (Pa; linear theory), the valve face first."""
        at = _checked([pressure])
        lift = self.problem.lift(at, self.path.forces(at))[0]
        shapes, below = [], 0.0
        for index, group in enumerate(self.problem.groups):
            covered = self.problem.radius <= group.outer_radius
            for disc in group.discs:
                thickness = self.stack.shims[disc].thickness
                shapes.append(
                    DiscShape(self.problem.radius[covered], below + lift[index, covered], thickness)
                )
                below += thickness
        return tuple(shapes)


def solved_stack(
    stack: ShimStack,
    load: ShimLoad,
    seat_radius: float,
    highest_pressure: float,
    *,
    fulcrum: Fulcrum | None = None,
    backing_spring: BackingSpring | None = None,
) -> SolvedStack:
    """Follow a stack's contacts up to the highest pressure, to bend it to many pressures afterwards.

    Parameters
    ----------
    stack : ShimStack
    load : ShimLoad
    seat_radius : float
        m.
    highest_pressure : float
        Pa.
    fulcrum : Fulcrum, optional
    backing_spring : BackingSpring, optional

    Returns
    -------
    SolvedStack

    Raises
    ------
    Unphysical
        As :func:`deflected_shapes`.

    Notes
    -----
    Source: as :func:`deflected_shapes`.
    """
    problem = contact_problem(stack, load, seat_radius, fulcrum, backing_spring)
    return SolvedStack(stack, problem, problem.path(highest_pressure))


def _stretched(
    problem: ContactProblem, seat_radius: float, pressure: Array, linear_lift: Array
) -> ShimOpening:
    """Return the answer with stretching, and the share of the linear opening that it takes away."""
    stack = StretchingStack(problem)
    states, snaps = stretched_states(stack, pressure)
    lift = np.array([stack.lift(state) for state in states])
    force = np.array([state.force for state in states])
    stresses = np.array([stack.stresses(state) for state in states])
    linear, stiff = (seat_lift(problem, seat_radius, one) for one in (linear_lift, lift))
    share = np.where(linear > 0.0, 1.0 - stiff / np.where(linear > 0.0, linear, 1.0), 0.0)
    warnings = (
        *load_warnings(problem),
        *yield_warnings(problem, pressure, stresses[:, 2]),
        *stretch_warnings(problem, pressure, lift, share),
        *snaps,
    )
    faces = stresses[:, 0], stresses[:, 1], stresses[:, 2]
    return report(problem, seat_radius, pressure, lift, force, faces, warnings, share)


def _checked(pressures: ArrayLike) -> Array:
    pressure = np.atleast_1d(np.asarray(pressures, float))
    if not np.all(np.isfinite(pressure)) or pressure.min(initial=0.0) < 0.0:
        raise Unphysical("pressures on a shim stack must be finite and not negative (it opens one way only)")
    return pressure


def _true_corners(pressure: Array, lift: Array) -> NDArray[np.intp]:
    """Indices of the points where the slope really changes, and both ends."""
    if len(pressure) < 3:
        return np.arange(len(pressure))
    slope = np.diff(lift) / np.diff(pressure)
    turns = np.abs(np.diff(slope)) > 1e-9 * np.abs(slope).max()
    return np.concatenate([[0], np.flatnonzero(turns) + 1, [len(pressure) - 1]])
