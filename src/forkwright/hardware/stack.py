"""The file of a single shim stack: what `forkwright shims` reads. All sizes across are diameters."""

from __future__ import annotations

import os
from typing import Annotated

from pydantic import Field, model_validator

from forkwright.hardware.discs import Disc
from forkwright.hardware.faults import Fault, refuse_first
from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.files import parse_toml, read_file, validated
from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.valves import Annulus, Diameter
from forkwright.physics.errors import Unphysical
from forkwright.physics.shim_stack import BackingSpring, Fulcrum
from forkwright.units import Measure


class FulcrumRing(Part):
    """A fixed ring behind the stack; `clearance` is its distance from the flat last shim."""

    diameter: Diameter
    clearance: Annotated[Measure, quantity("length", "0 mm", "10 mm")] | None = None


class SpringRing(Part):
    """A spring that bears on the stack at `diameter`, pressing with `preload` while the stack is closed."""

    diameter: Diameter
    rate: Annotated[Measure, quantity("stiffness", "0 N/mm", "10000 N/mm")]
    preload: Annotated[Measure, quantity("force", "0 N", "5000 N")] | None = None


class StackFile(Part):
    """One shim stack: discs from the valve face to the clamp, and where the pressure reaches the first one.

    Every disc is held flat and level inside the diameter `clamp`; the opening is read at the diameter
    `seat`; the pressure acts on the first disc between the diameters `load.inner` and `load.outer`.
    """

    format: Annotated[int, Field(ge=1, le=1)] = 1
    name: Annotated[str, Field(max_length=200)] = "stack"
    bore: Annotated[Measure, quantity("length", "0 mm", "120 mm")]
    clamp: Diameter
    seat: Diameter
    load: Annulus
    shims: Annotated[tuple[Disc, ...], Field(min_length=1, max_length=200)]
    room: Annotated[Measure, quantity("length", "0.01 mm", "50 mm")] | None = None
    seat_height: Annotated[Measure, quantity("length", "-2 mm", "2 mm")] | None = None
    youngs_modulus: Annotated[Measure, quantity("stress", "1 GPa", "500 GPa")]
    poisson: Annotated[Measure, quantity("dimensionless", "0", "0.499")]
    yield_stress: Annotated[Measure, quantity("stress", "10 MPa", "5 GPa")] | None = None
    fulcrum: FulcrumRing | None = None
    spring: SpringRing | None = None

    @model_validator(mode="after")
    def _can_exist(self) -> StackFile:
        try:
            stack, load, seat = as_stack(self)
            stack.check_use(load, seat, self.fulcrum_part(), self.spring_part())
        except Unphysical as fault:
            refuse_first([Fault("shims", str(fault))])
        return self

    def fulcrum_part(self) -> Fulcrum | None:
        """Return the solver's fulcrum, or None."""
        ring = self.fulcrum
        if ring is None:
            return None
        return Fulcrum(0.5 * ring.diameter.si, ring.clearance.si if ring.clearance else 0.0)

    def spring_part(self) -> BackingSpring | None:
        """Return the solver's backing spring, or None."""
        ring = self.spring
        if ring is None:
            return None
        return BackingSpring(0.5 * ring.diameter.si, ring.rate.si, ring.preload.si if ring.preload else 0.0)


def load_stack(path: str | os.PathLike[str]) -> StackFile:
    """Read a stack file.

    Raises
    ------
    InputError
        Naming file, line, key, value and allowed range of the first thing wrong.
    """
    return read_stack(read_file(path), os.fspath(path))


def read_stack(text: str, name: str) -> StackFile:
    """Read a stack from a file's text; errors as `load_stack`, under this name."""
    return validated(StackFile, parse_toml(text, name), file=name, text=text)
