"""From a stack of discs to its contact problem: who can touch whom, where, and how far each force moves it.

Two groups of discs (see `shim_groups`) can touch at a radius where both are present and every disc between
them has ended; the gap left there is the thickness of those missing discs.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.plates import PlateBend
from forkwright.physics.shim_bends import load_bend, rest_shape, ring_bend
from forkwright.physics.shim_groups import DiscGroup, disc_groups, last_group_at, nearest_ring, ring_radii
from forkwright.physics.shim_path import ContactPath, trace_contacts
from forkwright.physics.shim_stack import BackingSpring, Fulcrum, ShimLoad, ShimStack
from forkwright.physics.values import Array

GROUND = -1
"""Index that stands for the valve face (as the lower part) or for a support behind (as the upper part)."""


@dataclass(frozen=True)
class ContactProblem:
    """Everything :func:`~forkwright.physics.shim_path.trace_contacts` needs, and the way back to shapes.

    Attributes
    ----------
    radius : ndarray, shape (n,)
        Rings at which discs may touch or are looked at, m, growing.
    groups : tuple of DiscGroup
        From the valve face outwards.
    node, lower, upper : ndarray of int, shape (m,)
        Ring of each contact, group below it and group above it (:data:`GROUND` for a fixed part).
    push : ndarray, shape (m, groups)
        +1 where a contact force lifts a group, -1 where it presses it down.
    flat_gap, softness : ndarray, shape (m,)
        Gap with every disc flat, m, and own give of the contact, m/N (a backing spring has some).
    compliance, rest_gap, gap_rate : ndarray
        m/N, m and m per unit of load; see :mod:`forkwright.physics.shim_path`.
    load_bend : PlateBend
        Shape of group 1 along `radius` per unit of load.
    ring_bend : PlateBend
        Shape of every group at every ring (axis 1) per newton at every ring (axis 2).
    dead_rings : ndarray, shape (groups, n)
        Constant ring loads, N.
    rest_height : ndarray, shape (groups, n)
        Height of the groups above their flat place with neither pressure nor contact (dish, dead load), m.
    rest_bend : PlateBend
        Elastic slope and curvature that goes with it.
    """

    stack: ShimStack
    load: ShimLoad
    radius: Array
    groups: tuple[DiscGroup, ...]
    node: NDArray[np.intp]
    lower: NDArray[np.intp]
    upper: NDArray[np.intp]
    push: Array
    flat_gap: Array
    softness: Array
    compliance: Array
    rest_gap: Array
    gap_rate: Array
    load_bend: PlateBend
    ring_bend: PlateBend
    dead_rings: Array
    rest_height: Array
    rest_bend: PlateBend

    def path(self, highest_load: float) -> ContactPath:
        """Contact forces for every load up to the highest (Pa, or N for a ring load)."""
        return trace_contacts(self.compliance, self.rest_gap, self.gap_rate, highest_load)

    def ring_forces(self, force: Array) -> Array:
        """Sum contact forces (N, shape (p, m)) into ring loads on each group, shape (p, groups, n), N."""
        rings = np.zeros((len(force), len(self.groups), len(self.radius)))
        lifted, fixed = self.upper != GROUND, (self.upper == GROUND) & (self.lower != GROUND)
        pressed = lifted & (self.lower != GROUND)
        rings[:, self.upper[lifted], self.node[lifted]] += force[:, lifted]  # no place occurs twice
        rings[:, self.lower[pressed], self.node[pressed]] -= force[:, pressed]
        for support in np.flatnonzero(fixed):
            rings[:, self.lower[support], self.node[support]] -= force[:, support]
        return rings

    def bend(self, load: Array, rings: Array, part: str) -> Array:
        """Elastic `part` ("lift", "slope" or "curvature") of each group, SI, shape (p, groups, n).

        `load` in Pa (N for a ring load), shape (p,); `rings` from :meth:`ring_forces`, N.
        """
        by_group = np.matmul(rings.transpose(1, 0, 2), getattr(self.ring_bend, part).transpose(0, 2, 1))
        shape = by_group.transpose(1, 0, 2)
        shape[:, 0] += load[:, None] * getattr(self.load_bend, part)
        return np.asarray(shape)

    def lift(self, load: Array, force: Array) -> Array:
        """Lift of each group above its flat place, dish included, m, shape (p, groups, n)."""
        return self.bend(load, self.ring_forces(force), "lift") + self.rest_height

    def gaps(self, lift: Array, force: Array) -> Array:
        """Gap at every contact (m, shape (p, m)) for given lifts (m) and contact forces (N)."""
        gap: Array = self.flat_gap + self.softness * force
        for contact, (at, lower, upper) in enumerate(zip(self.node, self.lower, self.upper, strict=True)):
            if upper != GROUND:
                gap[:, contact] += lift[:, upper, at]
            if lower != GROUND:
                gap[:, contact] -= lift[:, lower, at]
        return gap

    def node_at(self, radius: float) -> int:
        """Index of the ring nearest to `radius` (m)."""
        return nearest_ring(self.radius, radius)


def contact_problem(
    stack: ShimStack,
    load: ShimLoad,
    seat_radius: float,
    fulcrum: Fulcrum | None = None,
    backing_spring: BackingSpring | None = None,
    *,
    fineness: int | None = None,
    join: bool = True,
    same_thickness: bool = False,
) -> ContactProblem:
    """Set up the contacts of a stack (seat radius in m).

    Parameters
    ----------
    stack, load, fulcrum, backing_spring
        See :mod:`forkwright.physics.shim_stack`.
    seat_radius : float
        m.
    fineness : int or None
        Rings between the clamp and the widest rim, at least; None takes what keeps the contacts near two
        hundred.
    join : bool
        Join neighbours of one diameter (the exact short cut). False treats every disc alone.
    same_thickness : bool
        Join only discs of equal thickness (once they stretch, only those move as one).

    Returns
    -------
    ContactProblem

    Raises
    ------
    Unphysical
        If the seat, the load or an adjuster does not meet the stack.

    Notes
    -----
    Source: frictionless one-sided contact of plates at rings (Signorini conditions, any text on contact
    mechanics), discretised by the closed forms of `plates`.
    """
    stack.check_use(load, seat_radius, fulcrum, backing_spring)
    groups = disc_groups(stack, join=join, same_thickness=same_thickness)
    fineness = fineness or int(np.clip(160 // len(groups), 12, 48))
    marks = [seat_radius, *(part.radius for part in (fulcrum, backing_spring) if part is not None)]
    radius = ring_radii(stack, groups, load, marks, fineness, same_thickness)
    per_newton = ring_bend(stack, groups, radius)
    per_load = load_bend(stack, groups[0], load, radius, per_newton)
    rest = rest_shape(stack, groups, radius, per_newton, backing_spring)

    contacts = _disc_contacts(groups, radius)
    contacts.append(_Contact(nearest_ring(radius, seat_radius), GROUND, 0, -stack.seat_height, 0.0))
    contacts += _contacts_behind(groups, radius, fulcrum, backing_spring)
    node, lower, upper = np.array([contact[:3] for contact in contacts], dtype=np.intp).T
    gap, softness = np.array([contact[3:] for contact in contacts]).T
    push = _pushes(lower, upper, len(groups))
    return ContactProblem(
        stack=stack,
        load=load,
        radius=radius,
        groups=groups,
        node=node,
        lower=lower,
        upper=upper,
        push=push,
        flat_gap=gap,
        softness=softness,
        compliance=_compliance(per_newton.lift, push, node, softness),
        rest_gap=gap + np.einsum("cg,gc->c", push, rest.height[:, node]),
        gap_rate=push[:, 0] * per_load.lift[node],
        load_bend=per_load,
        ring_bend=per_newton,
        dead_rings=rest.dead_rings,
        rest_height=rest.height,
        rest_bend=rest.bend,
    )


class _Contact(NamedTuple):
    """Two parts that may touch at a ring: the group below and the one above (or :data:`GROUND`).

    The gap is that with every disc flat (m); the softness the contact's own give (m/N).
    """

    node: int
    lower: int
    upper: int
    gap: float
    softness: float


def _disc_contacts(groups: tuple[DiscGroup, ...], radius: Array) -> list[_Contact]:
    """Every pair of groups that face each other at a ring; the clamp's own ring has none."""
    contacts = []
    for node, r in enumerate(radius[1:], start=1):
        present = [i for i, group in enumerate(groups) if group.outer_radius >= r]
        for lower, upper in pairwise(present):
            gap = sum(group.thickness for group in groups[lower + 1 : upper])
            contacts.append(_Contact(node, lower, upper, gap, 0.0))
    return contacts


def _contacts_behind(
    groups: tuple[DiscGroup, ...], radius: Array, fulcrum: Fulcrum | None, spring: BackingSpring | None
) -> list[_Contact]:
    """What stands behind the stack, against the last disc that reaches it; a dead load is no contact."""
    behind = []
    if fulcrum is not None:
        behind.append((fulcrum.radius, fulcrum.height, 0.0))
    if spring is not None and spring.rate > 0.0:
        behind.append((spring.radius, -spring.preload / spring.rate, 1.0 / spring.rate))
    contacts = []
    for at, gap, softness in behind:
        node = nearest_ring(radius, at)
        contacts.append(_Contact(node, last_group_at(groups, radius[node]), GROUND, gap, softness))
    return contacts


def _pushes(lower: NDArray[np.intp], upper: NDArray[np.intp], groups: int) -> Array:
    """+1 where a contact force lifts a group, -1 where it presses it down; shape (m, groups)."""
    push = np.zeros((len(lower), groups))
    above, below = upper != GROUND, lower != GROUND
    push[np.flatnonzero(above), upper[above]] += 1.0
    push[np.flatnonzero(below), lower[below]] -= 1.0
    return push


def _compliance(lift_per_newton: Array, push: Array, node: NDArray[np.intp], softness: Array) -> Array:
    """Gap opened at each contact per newton at each contact, m/N."""
    compliance = np.diag(softness)
    for index, lift in enumerate(lift_per_newton):
        touched = np.flatnonzero(push[:, index])
        sign, rings = push[touched, index], node[touched]
        compliance[touched[:, None], touched] += sign[:, None] * sign * lift[rings[:, None], rings]
    return compliance
