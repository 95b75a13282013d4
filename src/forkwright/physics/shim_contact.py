"""From a stack of discs to its contact problem: who can touch whom, where, and how far each force moves it.

Neighbours of one diameter bend as one plate: their bending shapes are the same, and whatever pushes from
below is handed on by pushes alone, so frictionless contact never opens between them. They are joined into one
group whose rigidity is the sum; the solver then meets only groups that differ. Two groups can touch at a
radius where both are present and every disc between them has ended; the gap left there is the thickness of
those missing discs.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.coned_disc import cone_response
from forkwright.physics.errors import Unphysical
from forkwright.physics.plates import (
    PlateBend,
    plate_rigidity,
    pressure_response,
    ring_load_response,
)
from forkwright.physics.shim_path import ContactPath, trace_contacts
from forkwright.physics.shim_stack import BackingSpring, Fulcrum, ShimLoad, ShimStack
from forkwright.physics.values import Array

__all__ = ["GROUND", "ContactProblem", "DiscGroup", "contact_problem", "disc_groups"]

GROUND = -1
"""Index that stands for the valve face (as the lower part) or for a support behind (as the upper part)."""

MOST_GROUPS = 60
"""Sixty take seconds; from thirty to sixty the work grew with about the fifth power of their number."""

_DIGITS, _ELEMENT_DIGITS = 9, 7  # decimals of a metre to which radii are told apart


@dataclass(frozen=True)
class DiscGroup:
    """Neighbouring discs of one diameter that bend as one.

    Attributes
    ----------
    discs : tuple of int
        Indices of its discs in the stack, the valve face first.
    outer_radius, thickness, dish : float
        m; the thickness is the sum over its discs.
    rigidity : float
        Sum of the discs' bending rigidities, N m.
    """

    discs: tuple[int, ...]
    outer_radius: float
    thickness: float
    dish: float
    rigidity: float


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
        return int(np.argmin(np.abs(self.radius - radius)))


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
    if len(groups) > MOST_GROUPS:
        raise Unphysical(
            f"the stack changes its diameter or dish {len(groups) - 1} times; up to {MOST_GROUPS - 1} "
            "changes can be solved"
        )
    fineness = fineness or int(np.clip(160 // len(groups), 12, 48))
    radius = _rings(stack, groups, load, seat_radius, fulcrum, backing_spring, fineness, same_thickness)
    ring_bend = _ring_bend(stack, groups, radius)
    rest_height, rest_bend = _dishes(stack, groups, radius)
    dead_rings = np.zeros_like(rest_height)
    if backing_spring is not None and backing_spring.rate == 0.0:
        at, last, *_ = _behind(groups, radius, backing_spring.radius, 0.0, 0.0)
        dead_rings[last, at] = -backing_spring.preload
        rest_height[last] += ring_bend.lift[last] @ dead_rings[last]
        rest_bend.slope[last] += ring_bend.slope[last] @ dead_rings[last]
        rest_bend.curvature[last] += ring_bend.curvature[last] @ dead_rings[last]
    load_bend = _load_bend(stack, groups[0], load, radius, ring_bend)

    contacts = _disc_contacts(groups, radius)
    contacts.append((int(np.argmin(np.abs(radius - seat_radius))), GROUND, 0, -stack.seat_height, 0.0))
    if fulcrum is not None:
        contacts.append(_behind(groups, radius, fulcrum.radius, fulcrum.height, 0.0))
    if backing_spring is not None and backing_spring.rate > 0.0:
        clearance = -backing_spring.preload / backing_spring.rate
        contacts.append(_behind(groups, radius, backing_spring.radius, clearance, 1.0 / backing_spring.rate))
    table = np.array(contacts)
    node, lower, upper = table[:, :3].astype(np.intp).T
    gap, softness = table[:, 3:].T

    push = np.zeros((len(contacts), len(groups)))
    above, below = upper != GROUND, lower != GROUND
    push[np.flatnonzero(above), upper[above]] += 1.0
    push[np.flatnonzero(below), lower[below]] -= 1.0
    moved = np.diag(softness)
    for index, bend in enumerate(ring_bend.lift):
        touched = np.flatnonzero(push[:, index])
        sign, rings = push[touched, index], node[touched]
        moved[touched[:, None], touched] += sign[:, None] * sign * bend[rings[:, None], rings]
    rest = gap + np.einsum("cg,gc->c", push, rest_height[:, node])
    return ContactProblem(
        stack, load, radius, groups, node, lower, upper, push, gap, softness, moved, rest,
        push[:, 0] * load_bend.lift[node], load_bend, ring_bend, dead_rings, rest_height, rest_bend,
    )  # fmt: skip


def disc_groups(
    stack: ShimStack, *, join: bool = True, same_thickness: bool = False
) -> tuple[DiscGroup, ...]:
    """Join flat neighbours of one diameter into groups.

    Parameters
    ----------
    stack : ShimStack
    join : bool
        False gives one group a disc.
    same_thickness : bool
        Join only discs that are equal in thickness too (needed once discs stretch).

    Returns
    -------
    tuple of DiscGroup
        Radii and thicknesses in m.

    Notes
    -----
    Derived: equal flat discs that touch without friction bend alike, so their rigidities add.
    """
    runs: list[list[int]] = []
    for index, shim in enumerate(stack.shims):
        before = stack.shims[runs[-1][-1]] if runs else None
        alike = (
            before is not None
            and join
            and _placed(before.outer_radius, same_thickness) == _placed(shim.outer_radius, same_thickness)
            and before.dish == shim.dish
        )
        if alike and same_thickness and before is not None:
            alike = _placed(before.thickness) == _placed(shim.thickness)
        if alike:
            runs[-1].append(index)
        else:
            runs.append([index])
    return tuple(
        DiscGroup(
            discs=tuple(run),
            outer_radius=_placed(stack.shims[run[0]].outer_radius, same_thickness),
            thickness=sum(stack.shims[i].thickness for i in run),
            dish=stack.shims[run[0]].dish,
            rigidity=sum(
                plate_rigidity(stack.youngs_modulus, stack.shims[i].thickness, stack.poisson) for i in run
            ),
        )
        for run in runs
    )


def _placed(length: float, coarse: bool = False) -> float:
    """Give equal lengths (m) equal numbers, however they were reckoned: to the nanometre.

    Elements (`coarse`) cannot be thinner than a tenth of a micrometre without drowning in rounding.
    """
    return round(length, _ELEMENT_DIGITS if coarse else _DIGITS)


def _rings(
    stack: ShimStack,
    groups: tuple[DiscGroup, ...],
    load: ShimLoad,
    seat_radius: float,
    fulcrum: Fulcrum | None,
    backing_spring: BackingSpring | None,
    fineness: int,
    coarse: bool,
) -> Array:
    """Radii where something begins or ends, and enough between them; the clamp radius first."""
    clamp = _placed(stack.clamp_radius)
    rims = [group.outer_radius for group in groups]
    fixed = [*rims, seat_radius]
    fixed += [part.radius for part in (fulcrum, backing_spring) if part is not None]
    fixed += [load.ring_radius] if load.ring_radius is not None and load.ring_area > 0.0 else []
    step = (max(rims) - clamp) / fineness
    marks = sorted({clamp, *(_placed(r, coarse) for r in fixed)})
    for edge in (_placed(load.inner_radius, coarse), _placed(load.outer_radius, coarse)):
        if clamp < edge < rims[0] and min(abs(edge - mark) for mark in marks) > 0.2 * step:
            marks.append(edge)
    marks.sort()
    pieces = [
        np.linspace(a, b, max(int(np.ceil((b - a) / step - 1e-9)), 1), endpoint=False)
        for a, b in pairwise(marks)
    ]
    return np.concatenate([*pieces, [marks[-1]]])


def _ring_bend(stack: ShimStack, groups: tuple[DiscGroup, ...], radius: Array) -> PlateBend:
    """Bend of every group at every ring (axis 1) per newton at every ring (axis 2)."""
    rims = np.array([group.outer_radius for group in groups])[:, None, None]
    bend = ring_load_response(
        radius[None, :, None], radius[None, None, :], stack.clamp_radius, rims, stack.poisson
    )
    rigidity = np.array([group.rigidity for group in groups])[:, None, None]
    return PlateBend(bend.lift / rigidity, bend.slope / rigidity, bend.curvature / rigidity)


def _dishes(stack: ShimStack, groups: tuple[DiscGroup, ...], radius: Array) -> tuple[Array, PlateBend]:
    height = np.zeros((len(groups), len(radius)))
    slope, curvature = np.zeros_like(height), np.zeros_like(height)
    for index, group in enumerate(groups):
        if group.dish != 0.0:
            rise, bend = cone_response(radius, stack.clamp_radius, group.outer_radius, stack.poisson)
            height[index] = -group.dish * rise
            slope[index], curvature[index] = -group.dish * bend.slope, -group.dish * bend.curvature
    return height, PlateBend(np.zeros_like(height), slope, curvature)


def _load_bend(
    stack: ShimStack, first: DiscGroup, load: ShimLoad, radius: Array, ring_bend: PlateBend
) -> PlateBend:
    pressed = pressure_response(
        radius, load.inner_radius, load.outer_radius, stack.clamp_radius, first.outer_radius, stack.poisson
    ).scaled(1.0 / first.rigidity)
    if load.ring_radius is None or load.ring_area == 0.0:
        return pressed
    at = int(np.argmin(np.abs(radius - load.ring_radius)))
    return PlateBend(
        pressed.lift + load.ring_area * ring_bend.lift[0, :, at],
        pressed.slope + load.ring_area * ring_bend.slope[0, :, at],
        pressed.curvature + load.ring_area * ring_bend.curvature[0, :, at],
    )


def _disc_contacts(groups: tuple[DiscGroup, ...], radius: Array) -> list[tuple[int, int, int, float, float]]:
    """(ring, lower, upper, gap, softness) of every pair of groups that face each other at a ring."""
    contacts = []
    for node, r in enumerate(radius[1:], start=1):
        present = [i for i, group in enumerate(groups) if group.outer_radius >= r]
        for lower, upper in pairwise(present):
            gap = sum(group.thickness for group in groups[lower + 1 : upper])
            contacts.append((node, lower, upper, gap, 0.0))
    return contacts


def _behind(
    groups: tuple[DiscGroup, ...], radius: Array, at: float, gap: float, softness: float
) -> tuple[int, int, int, float, float]:
    """The contact of a part behind the stack with the last disc that reaches its radius."""
    node = int(np.argmin(np.abs(radius - at)))
    last = max(i for i, group in enumerate(groups) if group.outer_radius >= radius[node])
    return node, last, GROUND, gap, softness
