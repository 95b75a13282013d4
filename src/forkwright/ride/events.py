"""What lies on a trail besides roughness: edges, roots, holes, bumps, drops, jumps, berms and climbs.

Each event changes one of three lines along the course: the ground's height, the load factor (how many times
its weight presses the bike onto the ground, as in a berm), or the gradient of the trail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from forkwright.hardware.fields import Part, quantity
from forkwright.units import Measure

Array = NDArray[np.float64]

Place = Annotated[Measure, quantity("length", "0 m", "20000 m")]
Height = Annotated[Measure, quantity("length", "1 mm", "4000 mm")]
Length = Annotated[Measure, quantity("length", "10 mm", "1000 m")]

END_SHARE = 0.25
"""Share of a berm's or climb's length over which it comes in and goes out (a half cosine); own definition."""


@dataclass(frozen=True)
class Lines:
    """The lines along a course that events write to, all of shape (n,); m, dimensionless, dimensionless."""

    distance: Array
    elevation: Array
    load_factor: Array
    gradient: Array


class SquareEdge(Part):
    """A ledge that rises at once, lasts for `length` and falls at once."""

    kind: Literal["square_edge"]
    at: Place
    height: Height
    length: Length = Measure(0.3, text="0.3 m")

    def lay(self, lines: Lines) -> None:
        """Add the ledge to the ground."""
        lines.elevation[_inside(lines, self.at.si, self.length.si)] += self.height.si


class Root(Part):
    """A rounded root: one full raised cosine of `width`."""

    kind: Literal["root"]
    at: Place
    height: Height
    width: Length

    def lay(self, lines: Lines) -> None:
        """Add the root to the ground."""
        lines.elevation[:] += self.height.si * _hump(lines, self.at.si, self.width.si)


class Hole(Part):
    """A hole: one full raised cosine downwards over `length`."""

    kind: Literal["hole"]
    at: Place
    depth: Height
    length: Length

    def lay(self, lines: Lines) -> None:
        """Take the hole out of the ground."""
        lines.elevation[:] -= self.depth.si * _hump(lines, self.at.si, self.length.si)


class BrakingBumps(Part):
    """A row of `count` equal bumps, crest to crest `spacing` apart and `height` from trough to crest."""

    kind: Literal["braking_bumps"]
    at: Place
    height: Height
    spacing: Length
    count: Annotated[int, Field(ge=1, le=1000)]

    def lay(self, lines: Lines) -> None:
        """Add the row to the ground."""
        inside = _inside(lines, self.at.si, self.count * self.spacing.si)
        phase = (lines.distance[inside] - self.at.si) / self.spacing.si
        lines.elevation[inside] += 0.5 * self.height.si * (1.0 - np.cos(2.0 * np.pi * phase))


class Drop(Part):
    """The ground falls at once by `height` and stays there."""

    kind: Literal["drop"]
    at: Place
    height: Height

    def lay(self, lines: Lines) -> None:
        """Lower the ground behind the edge."""
        lines.elevation[lines.distance >= self.at.si] -= self.height.si


class Jump(Part):
    """Take-off and landing: a hollow ramp up to `height`, a `gap`, and a landing that runs out to the
    ground."""

    kind: Literal["jump"]
    at: Place
    height: Height
    ramp: Length
    gap: Length
    landing: Length

    def lay(self, lines: Lines) -> None:
        """Add ramp (height grows with the square of the way) and landing (half cosine down) to the ground."""
        ramp = _inside(lines, self.at.si, self.ramp.si)
        lines.elevation[ramp] += self.height.si * ((lines.distance[ramp] - self.at.si) / self.ramp.si) ** 2
        start = self.at.si + self.ramp.si + self.gap.si
        landing = _inside(lines, start, self.landing.si)
        phase = (lines.distance[landing] - start) / self.landing.si
        lines.elevation[landing] += 0.5 * self.height.si * (1.0 + np.cos(np.pi * phase))


class Berm(Part):
    """A bend in which the bike is pressed onto the ground by `load_factor` times its weight."""

    kind: Literal["berm"]
    at: Place
    length: Length
    load_factor: Annotated[Measure, quantity("dimensionless", "0.2", "4")]

    def lay(self, lines: Lines) -> None:
        """Raise the load factor over the bend."""
        lines.load_factor[:] *= 1.0 + (self.load_factor.si - 1.0) * _plateau(
            lines, self.at.si, self.length.si
        )


class Climb(Part):
    """A stretch of other gradient (positive uphill): weight moves to the rear wheel uphill, to the front
    downhill."""

    kind: Literal["climb"]
    at: Place
    length: Length
    gradient: Annotated[Measure, quantity("dimensionless", "-1", "1")]

    def lay(self, lines: Lines) -> None:
        """Add the gradient over the stretch."""
        lines.gradient[:] += self.gradient.si * _plateau(lines, self.at.si, self.length.si)


Event = Annotated[
    SquareEdge | Root | Hole | BrakingBumps | Drop | Jump | Berm | Climb, Field(discriminator="kind")
]

KINDS = ("square_edge", "root", "hole", "braking_bumps", "drop", "jump", "berm", "climb")


def _inside(lines: Lines, start: float, length: float) -> NDArray[np.bool_]:
    return (lines.distance >= start) & (lines.distance < start + length)


def _hump(lines: Lines, start: float, length: float) -> Array:
    phase = np.clip((lines.distance - start) / length, 0.0, 1.0)
    return 0.5 * (1.0 - np.cos(2.0 * np.pi * phase))


def _plateau(lines: Lines, start: float, length: float) -> Array:
    phase = (lines.distance - start) / length
    edge = np.clip(np.minimum(phase, 1.0 - phase) / END_SHARE, 0.0, 1.0)
    return 0.5 * (1.0 - np.cos(np.pi * edge))
