"""The bent discs of a stack, for a drawing: solved once, then bent to any pressure (linear theory)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from forkwright.physics.errors import Unphysical
from forkwright.physics.shim_contact import ContactProblem, contact_problem
from forkwright.physics.shim_path import ContactPath
from forkwright.physics.shim_stack import BackingSpring, Fulcrum, ShimLoad, ShimStack
from forkwright.physics.values import Array


@dataclass(frozen=True)
class DiscShape:
    """One bent disc for a drawing: height of its lower face above the clamp plane, and radius (m)."""

    radius: Array
    height: Array
    thickness: float


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
    stack, load, seat_radius, fulcrum, backing_spring
        As for :func:`~forkwright.physics.shims.opening`.
    pressure : float
        Pa (N for a ring load).

    Returns
    -------
    tuple of DiscShape
        Radius and height of every disc, m, the valve face first.

    Raises
    ------
    Unphysical
        As for :func:`~forkwright.physics.shims.opening`.

    Notes
    -----
    Source: as :func:`~forkwright.physics.shims.opening`.

    Examples
    --------
    >>> from forkwright.physics.shim_stack import Shim
    >>> stack = ShimStack((Shim(10e-3, 0.15e-3), Shim(7e-3, 0.15e-3)), 4e-3, 2e-3, 206e9, 0.3)
    >>> first, second = deflected_shapes(stack, ShimLoad.ring(10e-3), 10e-3, 20.0)
    >>> round(float(first.height[-1]) * 1e6, 3), round(float(second.height[0]) * 1e6, 3)
    (274.344, 150.0)
    """
    return solved_stack(
        stack, load, seat_radius, pressure, fulcrum=fulcrum, backing_spring=backing_spring
    ).shapes(pressure)


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
    stack, load, seat_radius, fulcrum, backing_spring
        As for :func:`~forkwright.physics.shims.opening`.
    highest_pressure : float
        Pa.

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


@dataclass(frozen=True)
class SolvedStack:
    """A stack whose contacts are known for every load up to the highest (Pa, or N for a ring load)."""

    stack: ShimStack
    problem: ContactProblem
    path: ContactPath

    def shapes(self, pressure: float) -> tuple[DiscShape, ...]:
        """Bent shape of every disc at one pressure (Pa; linear theory), the valve face first."""
        at = checked_pressures([pressure])
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


def checked_pressures(pressures: ArrayLike) -> Array:
    """Return pressures on a stack as an array, or refuse them.

    Parameters
    ----------
    pressures : array_like
        Pa (N for a ring load).

    Returns
    -------
    array, shape (p,)
        Pa (N for a ring load).

    Raises
    ------
    Unphysical
        Where one is not finite or below zero.

    Notes
    -----
    Source: a stack opens one way only, by definition.
    """
    pressure = np.atleast_1d(np.asarray(pressures, float))
    if not np.all(np.isfinite(pressure)) or pressure.min(initial=0.0) < 0.0:
        raise Unphysical("pressures on a shim stack must be finite and not negative (it opens one way only)")
    return pressure
