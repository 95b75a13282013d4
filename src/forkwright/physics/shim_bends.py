"""How each group of a stack bends on its own: under a newton at any ring, under the load, and at rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.coned_disc import cone_response
from forkwright.physics.plates import PlateBend, pressure_response, ring_load_response
from forkwright.physics.shim_groups import DiscGroup, last_group_at, nearest_ring
from forkwright.physics.shim_stack import BackingSpring, ShimLoad, ShimStack
from forkwright.physics.values import Array


@dataclass(frozen=True)
class RestShape:
    """The groups with neither pressure nor contact: dishes held flat at the clamp, and a dead load.

    Attributes
    ----------
    height : ndarray, shape (groups, n)
        Above their flat place, m.
    bend : PlateBend
        Elastic slope and curvature that goes with it.
    dead_rings : ndarray, shape (groups, n)
        Constant ring loads, N.
    """

    height: Array
    bend: PlateBend
    dead_rings: Array


def ring_bend(stack: ShimStack, groups: tuple[DiscGroup, ...], radius: Array) -> PlateBend:
    """Return the bend of every group (axis 0) at every ring (axis 1) per newton at every ring (axis 2).

    Parameters
    ----------
    stack : ShimStack
    groups : tuple of DiscGroup
    radius : array, shape (n,)
        Of the rings, m.

    Returns
    -------
    PlateBend
        m, 1, 1/m per N.

    Notes
    -----
    Source: `plates.ring_load_response`.
    """
    rims = np.array([group.outer_radius for group in groups])[:, None, None]
    bend = ring_load_response(
        radius[None, :, None], radius[None, None, :], stack.clamp_radius, rims, stack.poisson
    )
    rigidity = np.array([group.rigidity for group in groups])[:, None, None]
    return PlateBend(bend.lift / rigidity, bend.slope / rigidity, bend.curvature / rigidity)


def load_bend(
    stack: ShimStack, first: DiscGroup, load: ShimLoad, radius: Array, per_newton: PlateBend
) -> PlateBend:
    """Return the bend of the first group per unit of load.

    Parameters
    ----------
    stack : ShimStack
    first : DiscGroup
        The group on the valve face.
    load : ShimLoad
    radius : array, shape (n,)
        Of the rings, m.
    per_newton : PlateBend
        From `ring_bend`; m, 1, 1/m per N.

    Returns
    -------
    PlateBend
        m, 1, 1/m per Pa (per N for a ring load).

    Notes
    -----
    Source: `plates.pressure_response`, and `plates.ring_load_response` for the ring load.
    """
    pressed = pressure_response(
        radius, load.inner_radius, load.outer_radius, stack.clamp_radius, first.outer_radius, stack.poisson
    ).scaled(1.0 / first.rigidity)
    if load.ring_radius is None or load.ring_area == 0.0:
        return pressed
    at = nearest_ring(radius, load.ring_radius)
    return PlateBend(
        pressed.lift + load.ring_area * per_newton.lift[0, :, at],
        pressed.slope + load.ring_area * per_newton.slope[0, :, at],
        pressed.curvature + load.ring_area * per_newton.curvature[0, :, at],
    )


def rest_shape(
    stack: ShimStack,
    groups: tuple[DiscGroup, ...],
    radius: Array,
    per_newton: PlateBend,
    backing_spring: BackingSpring | None,
) -> RestShape:
    """Return the shape of the groups with neither pressure nor contact.

    Parameters
    ----------
    stack : ShimStack
    groups : tuple of DiscGroup
    radius : array, shape (n,)
        Of the rings, m.
    per_newton : PlateBend
        From `ring_bend`; m, 1, 1/m per N.
    backing_spring : BackingSpring or None
        Counts here only as a dead load: one without a rate.

    Returns
    -------
    RestShape

    Notes
    -----
    Source: `coned_disc.cone_response`; a dish towards the valve face (positive) lies below the flat place.
    """
    height = np.zeros((len(groups), len(radius)))
    slope, curvature, dead = np.zeros_like(height), np.zeros_like(height), np.zeros_like(height)
    for index, group in enumerate(groups):
        if group.dish != 0.0:
            rise, bend = cone_response(radius, stack.clamp_radius, group.outer_radius, stack.poisson)
            height[index] = -group.dish * rise
            slope[index], curvature[index] = -group.dish * bend.slope, -group.dish * bend.curvature
    if backing_spring is not None and backing_spring.rate == 0.0:
        at = nearest_ring(radius, backing_spring.radius)
        last = last_group_at(groups, radius[at])
        dead[last, at] = -backing_spring.preload
        height[last] += per_newton.lift[last] @ dead[last]
        slope[last] += per_newton.slope[last] @ dead[last]
        curvature[last] += per_newton.curvature[last] @ dead[last]
    return RestShape(height, PlateBend(np.zeros_like(height), slope, curvature), dead)
