"""One stroke of a unit, and the steps that a story of it is told in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.damping import DampingCurve
from forkwright.bench.rear_sag import WheelSag
from forkwright.bench.sag import Sag
from forkwright.bench.spring import SpringCurve
from forkwright.bench.valve_state import ValvesAt
from forkwright.hardware import Unit
from forkwright.physics import P0
from forkwright.physics.values import Array
from forkwright.units import UnitChoice, show


@dataclass(frozen=True)
class Step:
    """One event of the stroke.

    Parameters
    ----------
    title, sentence : str
        What is shown beside the drawing.
    travel : float
        Where it happens (m).
    phase : str
        "in" on the way in, "out" on the way back.
    parts : tuple of str
        Keys of the drawn parts that it is about.
    """

    title: str
    sentence: str
    travel: float
    phase: str
    parts: tuple[str, ...]


@dataclass(frozen=True)
class Stroke:
    """Everything a story is told from: one unit on the benches, and the damper at the speed of the stroke."""

    unit: Unit
    spring: SpringCurve
    sag: Sag | None
    wheel: WheelSag | None  # of a shock
    speed: float  # m/s of the shaft
    damping: DampingCurve | None  # at -speed, 0, +speed
    inwards: ValvesAt | None
    outwards: ValvesAt | None

    @property
    def full(self) -> float:
        """Full travel (m)."""
        return float(self.spring.travel[-1])

    def at(self, values: Array, travel: float) -> float:
        """Return what a column of the spring's curve reads at some travel (m)."""
        return float(np.interp(travel, self.spring.travel, values))

    def gauge(self, pressures: Array, travel: float, units: UnitChoice) -> str:
        """Return what a gauge would read at some travel (m), in words."""
        return show(self.at(pressures, travel) - P0, "pressure", units)
