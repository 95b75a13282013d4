"""From a file's shim stack to the solver's: diameters become radii, text becomes metres."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from forkwright.physics.errors import Unphysical
from forkwright.physics.shim_stack import (
    SPRING_STEEL_MODULUS,
    SPRING_STEEL_POISSON,
    Shim,
    ShimLoad,
    ShimStack,
)
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.hardware.discs import Disc
    from forkwright.hardware.stack import StackFile
    from forkwright.hardware.valves import Valve

Otherwise = TypeVar("Otherwise", float, None)


def as_stack(table: Valve | StackFile) -> tuple[ShimStack, ShimLoad, float]:
    """Return the solver's stack, its load and the seat's radius (m).

    Raises
    ------
    Unphysical
        If the stack cannot exist or its load does not meet it; the text says which disc and why.
    """
    stack = ShimStack(
        tuple(shim for disc in table.shims for shim in (_shim(disc),) * disc.count),
        clamp_radius=_half(table.clamp),
        bore_radius=_half(table.bore),
        youngs_modulus=_si(table.youngs_modulus, SPRING_STEEL_MODULUS),
        poisson=_si(table.poisson, SPRING_STEEL_POISSON),
        seat_height=_si(table.seat_height, 0.0),
        yield_stress=_si(table.yield_stress, None),
        available_height=_si(table.room, None),
    )
    ring = table.load
    if ring is None:
        raise Unphysical("nothing says where the pressure reaches the first shim")
    load = ShimLoad(_half(ring.inner), _half(ring.outer))
    stack.check_use(load, _half(table.seat), None, None)
    return stack, load, _half(table.seat)


def _shim(disc: Disc) -> Shim:
    return Shim(_half(disc.outer_diameter), _si(disc.thickness, 0.0), dish=_si(disc.dish, 0.0))


def _si(measure: Measure | None, otherwise: Otherwise) -> float | Otherwise:
    """SI value of a measure; of a unit that holds draws, this needs one draw picked first."""
    return otherwise if measure is None else float(measure.si)


def _half(diameter: Measure | None) -> float:
    return 0.5 * _si(diameter, 0.0)
