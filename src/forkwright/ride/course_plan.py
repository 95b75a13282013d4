"""What a course file may hold: speed, roughness, events and gradient along a trail, or a measured profile."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from forkwright.hardware.fields import Part, quantity
from forkwright.physics.road import CLASS_MEAN, HIGHEST_FREQUENCY, LOWEST_FREQUENCY
from forkwright.ride.events import Event, Place
from forkwright.ride.profile import Profile
from forkwright.units import Measure

Wave = Annotated[Measure, quantity("length", "10 mm", "1000 m")]


class SpeedPoint(Part):
    """Riding speed at one place; it changes evenly from point to point."""

    at: Place
    speed: Annotated[Measure, quantity("speed", "0.3 m/s", "30 m/s")]


class Roughness(Part):
    """A stretch of random roughness, by class of ISO 8608 or by its density at 0.1 cycle/m (1e-6 m3)."""

    start: Annotated[Measure, quantity("length", "0 m", "20000 m"), Field(alias="from")]
    end: Annotated[Measure, quantity("length", "0 m", "20000 m"), Field(alias="to")]
    roughness_class: Annotated[
        Literal["A", "B", "C", "D", "E", "F", "G", "H"] | None, Field(alias="class")
    ] = None
    density: Annotated[float, Field(gt=0, le=1e6)] | None = None
    waviness: Annotated[float, Field(ge=1.0, le=4.0)] = 2.0
    shortest_wave: Wave = Measure(1.0 / HIGHEST_FREQUENCY)
    longest_wave: Wave = Measure(1.0 / LOWEST_FREQUENCY)
    seed: Annotated[int, Field(ge=0, le=2**31)] = 0

    @property
    def mean_density(self) -> float:
        """Gd(n0), m3."""
        if self.roughness_class is not None:
            return CLASS_MEAN[self.roughness_class]
        return (self.density or 0.0) * 1e-6


class CourseFile(Part):
    """What a course file may hold."""

    format: Literal[1] = 1
    kind: Literal["course"]
    name: Annotated[str, Field(min_length=1, max_length=200)]
    length: Annotated[Measure, quantity("length", "2 m", "20000 m")] | None = None
    spacing: Annotated[Measure, quantity("length", "2 mm", "50 mm")] = Measure(0.005, text="5 mm")
    speed: Annotated[tuple[SpeedPoint, ...], Field(max_length=1000)]
    roughness: Annotated[tuple[Roughness, ...], Field(max_length=1000)] = ()
    event: Annotated[tuple[Event, ...], Field(max_length=5000)] = ()
    profile: Profile | None = None
