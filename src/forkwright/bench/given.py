"""Measures as the damper's laws take them: plain numbers, also where a file gives none."""

from __future__ import annotations

import math

from forkwright.units import Measure


def si_or(measure: Measure | None, otherwise: float) -> float:
    """Return a measure in SI, or what stands in for it where it is not given, of the same unit."""
    return otherwise if measure is None else measure.si


def circle(diameter: Measure) -> float:
    """Return the area of a circle, m2."""
    return math.pi / 4 * diameter.si**2
