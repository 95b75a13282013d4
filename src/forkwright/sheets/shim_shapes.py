"""A shim stack ready to draw: every disc's size, and where it lies at rest and under load."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Sequence

    from forkwright.physics.shim_stack import ShimLoad, ShimStack
    from forkwright.physics.shims import DiscShape

Array = NDArray[np.float64]


@dataclass(frozen=True)
class DrawnDisc:
    """One disc (m): size, and how far it stands off its flat place at radii from the clamp to the rim.

    Attributes
    ----------
    outer_radius, thickness : float
        m.
    radius : array
        Radii (m, ascending) of the two shapes.
    rest, lift : array
        Height of the disc above its flat place without and with the load (m).
    """

    outer_radius: float
    thickness: float
    radius: Array
    rest: Array
    lift: Array


@dataclass(frozen=True)
class DrawnStack:
    """A stack to draw; disc 1 lies on the valve face. Radii in m, `pressure` in Pa."""

    discs: tuple[DrawnDisc, ...]
    bore_radius: float
    clamp_radius: float
    seat_radius: float
    port_inner: float
    port_outer: float
    pressure: float = 0.0
    name: str = ""


def drawn_stack(
    stack: ShimStack, load: ShimLoad, seat_radius: float, pressure: float, name: str = "", **parts: Any
) -> DrawnStack:
    """Return a stack with its shapes at rest and at a pressure, ready to draw.

    Parameters
    ----------
    stack, load : ShimStack, ShimLoad
        As the solver takes them.
    seat_radius : float
        Where opening is read (m).
    pressure : float
        Pressure difference (Pa).
    name : str
        Any text.
    **parts
        `fulcrum`, `backing_spring`, as `physics.shims.deflected_shapes` takes them.
    """
    from forkwright.physics.shims import deflected_shapes

    rest, bent = (deflected_shapes(stack, load, seat_radius, p, **parts) for p in (0.0, pressure))
    return stack_of_shapes(stack, load, seat_radius, pressure, rest, bent, name)


def stack_of_shapes(
    stack: ShimStack,
    load: ShimLoad,
    seat_radius: float,
    pressure: float,
    rest: Sequence[DiscShape],
    bent: Sequence[DiscShape],
    name: str = "",
) -> DrawnStack:
    """Return a stack whose shapes at rest and at a pressure (Pa) are known; seat radius in m."""
    discs, base = [], 0.0
    for shim, flat, lifted in zip(stack.shims, rest, bent, strict=True):
        discs.append(
            DrawnDisc(
                shim.outer_radius, shim.thickness, flat.radius, flat.height - base, lifted.height - base
            )
        )
        base += shim.thickness
    return DrawnStack(
        tuple(discs), stack.bore_radius, stack.clamp_radius, seat_radius, load.inner_radius,
        load.outer_radius, pressure, name,
    )  # fmt: skip
