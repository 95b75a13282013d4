"""From a stack of discs to groups that bend as one, and the rings on which they are looked at.

Neighbours of one diameter bend as one plate: their bending shapes are the same, and whatever pushes from
below is handed on by pushes alone, so frictionless contact never opens between them. They are joined into one
group whose rigidity is the sum; the solver then meets only groups that differ.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.plates import plate_rigidity
from forkwright.physics.shim_stack import Shim, ShimLoad, ShimStack
from forkwright.physics.values import Array

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

    Raises
    ------
    Unphysical
        If the groups are more than can be solved.

    Notes
    -----
    Derived: equal flat discs that touch without friction bend alike, so their rigidities add.
    """
    runs: list[list[int]] = []
    for index, shim in enumerate(stack.shims):
        if join and runs and _alike(stack.shims[runs[-1][-1]], shim, same_thickness):
            runs[-1].append(index)
        else:
            runs.append([index])
    if len(runs) > MOST_GROUPS:
        raise Unphysical(
            f"the stack changes its diameter or dish {len(runs) - 1} times; up to {MOST_GROUPS - 1} "
            "changes can be solved"
        )
    return tuple(_group(stack, tuple(run), same_thickness) for run in runs)


def ring_radii(
    stack: ShimStack,
    groups: tuple[DiscGroup, ...],
    load: ShimLoad,
    marks: Iterable[float],
    fineness: int,
    coarse: bool,
) -> Array:
    """Radii at which the discs are looked at: where something begins or ends, and enough between them.

    Parameters
    ----------
    stack : ShimStack
    groups : tuple of DiscGroup
    load : ShimLoad
    marks : iterable of float
        Further radii that must be met, m: the seat and what stands behind the stack.
    fineness : int
        Number of rings between the clamp and the widest rim, at least.
    coarse : bool
        For elements, which must not be too thin.

    Returns
    -------
    array, shape (n,)
        m, growing; the clamp's first.

    Notes
    -----
    Own choice. An edge of the pressed annulus that lies close to another ring gets none of its own: the load
    is integrated exactly, wherever the rings stand.
    """
    clamp = _placed(stack.clamp_radius)
    rims = [group.outer_radius for group in groups]
    fixed = [*rims, *marks]
    fixed += [load.ring_radius] if load.ring_radius is not None and load.ring_area > 0.0 else []
    step = (max(rims) - clamp) / fineness
    ends = sorted({clamp, *(_placed(r, coarse) for r in fixed)})
    for edge in (_placed(load.inner_radius, coarse), _placed(load.outer_radius, coarse)):
        if clamp < edge < rims[0] and min(abs(edge - end) for end in ends) > 0.2 * step:
            ends.append(edge)
    ends.sort()
    pieces = [
        np.linspace(a, b, max(int(np.ceil((b - a) / step - 1e-9)), 1), endpoint=False)
        for a, b in pairwise(ends)
    ]
    return np.concatenate([*pieces, [ends[-1]]])


def nearest_ring(radius: Array, wanted: float) -> int:
    """Return the index of the ring nearest to a radius.

    Parameters
    ----------
    radius : array, shape (n,)
        Of the rings, m.
    wanted : float
        m.

    Returns
    -------
    int

    Notes
    -----
    Source: definition.
    """
    return int(np.argmin(np.abs(radius - wanted)))


def last_group_at(groups: tuple[DiscGroup, ...], radius: float) -> int:
    """Return the index of the last group that reaches a radius: what a part behind the stack meets.

    Parameters
    ----------
    groups : tuple of DiscGroup
    radius : float
        m.

    Returns
    -------
    int

    Notes
    -----
    Source: definition.
    """
    return max(index for index, group in enumerate(groups) if group.outer_radius >= radius)


def _alike(before: Shim, after: Shim, same_thickness: bool) -> bool:
    """Whether two neighbours bend as one."""
    same_size = _placed(before.outer_radius, same_thickness) == _placed(after.outer_radius, same_thickness)
    if same_thickness and _placed(before.thickness) != _placed(after.thickness):
        return False
    return same_size and before.dish == after.dish


def _group(stack: ShimStack, discs: tuple[int, ...], coarse: bool) -> DiscGroup:
    first = stack.shims[discs[0]]
    thicknesses = [stack.shims[disc].thickness for disc in discs]
    return DiscGroup(
        discs=discs,
        outer_radius=_placed(first.outer_radius, coarse),
        thickness=sum(thicknesses),
        dish=first.dish,
        rigidity=sum(plate_rigidity(stack.youngs_modulus, one, stack.poisson) for one in thicknesses),
    )


def _placed(length: float, coarse: bool = False) -> float:
    """Give equal lengths (m) equal numbers, however they were reckoned: to the nanometre.

    Elements (`coarse`) cannot be thinner than a tenth of a micrometre without drowning in rounding.
    """
    return round(length, _ELEMENT_DIGITS if coarse else _DIGITS)
