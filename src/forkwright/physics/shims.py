"""How far a shim stack opens: pressure in, lift at the seat, stress and contact forces out.

Start with :func:`opening` (one stack, a list of pressures, everything a technician asks) or
:func:`opening_map` (the bare lift as exact straight pieces, for a damper that asks thousands of times).
:func:`deflected_shapes` gives the bent discs for a drawing. The parts are described in
:mod:`forkwright.physics.shim_stack`.

Signs: lift is positive away from the valve face; disc 1 lies on the face; stresses are positive numbers
(size).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from forkwright.physics.errors import Unphysical
from forkwright.physics.shim_answer import ShimOpening, Solution, bending_stress_peaks, report
from forkwright.physics.shim_contact import contact_problem
from forkwright.physics.shim_shapes import (
    DiscShape,
    SolvedStack,
    checked_pressures,
    deflected_shapes,
    solved_stack,
)
from forkwright.physics.shim_stack import BackingSpring, Fulcrum, Shim, ShimLoad, ShimStack
from forkwright.physics.shim_stiffening import StretchingStack, stretched_states
from forkwright.physics.shim_warnings import (
    large_lift_warnings,
    load_warnings,
    stretch_warnings,
    yield_warnings,
)
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
    pressure = checked_pressures(pressures)
    problem = contact_problem(
        stack, load, seat_radius, fulcrum, backing_spring, fineness=fineness, same_thickness=stiffening
    )
    force = problem.path(float(pressure.max(initial=0.0))).forces(pressure)
    linear = Solution(problem, seat_radius, pressure, problem.lift(pressure, force), force)
    if stiffening:
        return _stretched(linear)
    stresses = bending_stress_peaks(linear)
    warnings = (
        *load_warnings(problem),
        *yield_warnings(linear, stresses[2]),
        *large_lift_warnings(linear),
    )
    return report(linear, stresses, warnings)


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
    stack, load, seat_radius, stiffening, fulcrum, backing_spring, fineness
        As for :func:`opening`.
    highest_pressure : float
        Pa, above zero.

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
    lift = Solution(problem, seat_radius, corners, problem.lift(corners, force), force).opening
    keep = _true_corners(corners, lift)
    return OpeningMap(corners[keep], lift[keep], load_warnings(problem))


def _stretched(linear: Solution) -> ShimOpening:
    """Return the answer with stretching, and the share of the linear opening that it takes away."""
    stack = StretchingStack(linear.problem)
    states, snaps = stretched_states(stack, linear.pressure)
    stiff = replace(
        linear,
        lift=np.array([stack.lift(state) for state in states]),
        force=np.array([state.force for state in states]),
    )
    stresses = np.array([stack.stresses(state) for state in states])
    faces = stresses[:, 0], stresses[:, 1], stresses[:, 2]
    opens = linear.opening > 0.0
    share = np.where(opens, 1.0 - stiff.opening / np.where(opens, linear.opening, 1.0), 0.0)
    warnings = (
        *load_warnings(linear.problem),
        *yield_warnings(stiff, faces[2]),
        *stretch_warnings(stiff, share),
        *snaps,
    )
    return report(stiff, faces, warnings, share)


def _true_corners(pressure: Array, lift: Array) -> NDArray[np.intp]:
    """Indices of the points where the slope really changes, and both ends."""
    if len(pressure) < 3:
        return np.arange(len(pressure))
    slope = np.diff(lift) / np.diff(pressure)
    turns = np.abs(np.diff(slope)) > 1e-9 * np.abs(slope).max()
    return np.concatenate([[0], np.flatnonzero(turns) + 1, [len(pressure) - 1]])
