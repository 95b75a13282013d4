"""The bike's linkage as measured: wheel travel against the shock's stroke."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated

import numpy as np
from pydantic import Field, model_validator

from forkwright.hardware.faults import Fault, refuse_first
from forkwright.hardware.fields import Part, quantity
from forkwright.physics.errors import Unphysical
from forkwright.physics.leverage import Linkage
from forkwright.units import Measure
from forkwright.units.write import as_written

MOST_POINTS = 2000
"""More than any measuring gives; a longer table is no leverage curve."""


class LeveragePoint(Part):
    """One point of the leverage curve."""

    wheel: Annotated[Measure, quantity("length", "0 mm", "600 mm")]
    stroke: Annotated[Measure, quantity("length", "0 mm", "400 mm")]

    def as_written(self) -> str:
        """Return both lengths as the file or table has them."""
        return f"{as_written(self.wheel, 'length')}, {as_written(self.stroke, 'length')}"


class Leverage(Part):
    """Points of wheel travel and shock stroke, both from zero and rising.

    `smoothing` is a length of wheel travel: shorter waves of the measured stroke count as reading errors.
    """

    points: Annotated[tuple[LeveragePoint, ...], Field(min_length=3, max_length=MOST_POINTS)]
    smoothing: Annotated[Measure, quantity("length", "0 mm", "300 mm")] | None = None

    @model_validator(mode="after")
    def _rises(self) -> Leverage:
        found = break_in_rise(self.points)
        if found is not None:
            place, reason = found
            refuse_first([Fault("leverage.points", reason, self.points[place].as_written())])
        return self

    @model_validator(mode="after")
    def _can_be_smoothed(self) -> Leverage:
        if self.smoothing is not None and self.smoothing.si > 0.0:  # the points alone always make a curve
            try:
                as_linkage(self)
            except Unphysical as fault:
                refuse_first([Fault("leverage.smoothing", str(fault), as_written(self.smoothing, "length"))])
        return self


def as_linkage(leverage: Leverage) -> Linkage:
    """Return the physics' curve through the points, smoothed as the file asks.

    Raises
    ------
    Unphysical
        If the points cannot be smoothed so.
    """
    wheel = np.array([float(point.wheel.si) for point in leverage.points])
    stroke = np.array([float(point.stroke.si) for point in leverage.points])
    return Linkage(wheel, stroke, leverage.smoothing.si if leverage.smoothing is not None else 0.0)


def break_in_rise(points: Sequence[LeveragePoint]) -> tuple[int, str] | None:
    """Return the place of the first point that no linkage gives, and why; None where all is well."""
    if points[0].wheel.si != 0.0 or points[0].stroke.si != 0.0:
        return 0, "the first point must be zero wheel travel and zero stroke"
    for place, (before, after) in enumerate(pairwise(points), start=1):
        if after.wheel.si <= before.wheel.si or after.stroke.si <= before.stroke.si:
            return place, "wheel travel and stroke must both rise from point to point"
    return None
