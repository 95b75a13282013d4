"""The air spring as measured: bore, shaft, volumes, transfer, spacers and the floating piston's chamber."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from forkwright.hardware.fields import Part, quantity
from forkwright.units import Measure


class Spacers(Part):
    """Volume spacers: all alike, touching the positive chamber alone."""

    volume: Annotated[Measure, quantity("volume", "0.05 ml", "1000 ml")]
    max_count: Annotated[int, Field(ge=0, le=50)]


class FloatingPiston(Part):
    """An externally set secondary chamber behind a piston that floats between it and the positive chamber.

    `secondary_bore` is given only where the two sides of the piston differ.
    """

    bore: Annotated[Measure, quantity("length", "2 mm", "100 mm")]
    secondary_bore: Annotated[Measure, quantity("length", "2 mm", "100 mm")] | None = None
    volume: Annotated[Measure, quantity("volume", "0.1 ml", "2000 ml")]
    stroke: Annotated[Measure, quantity("length", "0.1 mm", "500 mm")]
    friction: Annotated[Measure, quantity("force", "0 N", "500 N")] | None = None
    pressure_limit: Annotated[Measure, quantity("pressure", "1 psi", "1000 psi")] | None = None


class NegativeCoil(Part):
    """A coil in place of the negative chamber: it pushes the unit into its travel over `length`."""

    rate: Annotated[Measure, quantity("stiffness", "0.01 N/mm", "1000 N/mm")]
    length: Annotated[Measure, quantity("length", "0.5 mm", "300 mm")]


class AirSpring(Part):
    """Positive and negative air chambers of one leg, as measured.

    `negative` tells how the negative side is made: "transfer" (it fills itself through a transfer port at
    the compression `transfer`), "valve" (a valve of its own) or "coil" (a negative coil, no chamber).
    Volumes are at full extension without spacers.
    """

    bore: Annotated[Measure, quantity("length", "5 mm", "100 mm")]
    shaft: Annotated[Measure, quantity("length", "0 mm", "90 mm")]
    positive_volume: Annotated[Measure, quantity("volume", "0.1 ml", "10000 ml")]
    negative_volume: Annotated[Measure, quantity("volume", "0.05 ml", "10000 ml")] | None = None
    negative: Literal["transfer", "valve", "coil"] = "transfer"
    transfer: Annotated[Measure, quantity("length", "0 mm", "400 mm")] | None = None
    negative_coil: NegativeCoil | None = None
    seal_friction: Annotated[Measure, quantity("force", "0 N", "1000 N")] | None = None
    seal_area: Annotated[Measure, quantity("area", "0 mm2", "500 mm2")] | None = None
    pressure_limit: Annotated[Measure, quantity("pressure", "1 psi", "1000 psi")] | None = None
    negative_pressure_limit: Annotated[Measure, quantity("pressure", "1 psi", "1000 psi")] | None = None
    spacers: Spacers | None = None
    floating: FloatingPiston | None = None
