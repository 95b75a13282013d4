"""What the pages of ride logs and bench traces ask."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft
from forkwright.app.question import Day, Text
from forkwright.app.tuning.courses import CourseChoice

Key = Annotated[str, Field(max_length=40)]
Units = Annotated[dict[str, str], Field(max_length=20)]
Seconds = Annotated[float, Field(ge=-1e10, le=1e10, allow_inf_nan=False)]
Name = Annotated[str, Field(max_length=100)]


class _Question(BaseModel):
    model_config = ConfigDict(extra="forbid")


class LookQuestion(_Question):
    """Read a file that was brought in for the first time."""

    file: Key
    sheet: Name = ""


class MappingQuestion(_Question):
    """What the columns of a file mean, in the keys of a mapping's file."""

    file: Key
    mapping: dict[str, Any]
    sheet: Name = ""


class MappingText(_Question):
    """A mapping's file that a browser has read."""

    toml: Annotated[str, Field(max_length=100_000)]
    name: Annotated[str, Field(max_length=200)] = "mapping"


class MappingTable(_Question):
    """A mapping to be written as a file."""

    mapping: dict[str, Any]


class SectionQuestion(_Question):
    """A named stretch of a log, s from its first sample."""

    name: Name
    start: Seconds
    stop: Seconds


class RideLogQuestion(_Question):
    """A ride log of the travel of a unit; the unit gives the full travel where none is typed."""

    file: Key
    fork: Draft
    channel: Name = "travel"
    travel: Text = ""
    cutoff: Text = ""
    sections: Annotated[list[SectionQuestion], Field(max_length=50)] = []


class WindowQuestion(_Question):
    """A stretch of a ride log for the screen."""

    ride: RideLogQuestion
    start: Seconds
    stop: Seconds
    columns: Annotated[int, Field(ge=10, le=4000)] = 1000
    shown: Annotated[list[Literal["travel", "speed", "simulated"]], Field(min_length=1, max_length=3)] = [
        "travel"
    ]


class CompareRidesQuestion(_Question):
    """Two runs."""

    first: RideLogQuestion
    second: RideLogQuestion


class UseTableQuestion(_Question):
    """The use of one or two rides, whole and by stretch, as a table of its own."""

    rides: Annotated[list[RideLogQuestion], Field(min_length=1, max_length=2)]
    kind: Literal["csv", "xlsx"] = "csv"


class OverlayQuestion(_Question):
    """A ride log, and what is ridden over a course to be laid over it."""

    ride: RideLogQuestion
    rider: Draft
    bike: Draft
    course: CourseChoice


class TraceSetting(_Question):
    """The setting a unit had on the bench; an empty field leaves it as its draft says."""

    pressure: Text = ""
    spacers: Text = ""
    floating: Text = ""
    negative_pressure: Text = ""
    preload: Text = ""


class TraceQuestion(_Question):
    """Bench traces of a unit at the setting it had, on their day."""

    fork: Draft
    files: Annotated[list[Key], Field(min_length=1, max_length=6)]
    setting: TraceSetting = TraceSetting()
    day: Day = Day()
    oil_temperature: Text = "20 °C"
    units: Units = {}


class FitQuestion(TraceQuestion):
    """What is to be fitted to the traces; no parameters means every one they can speak about."""

    parameters: Annotated[list[Annotated[str, Field(max_length=120)]], Field(max_length=60)] = []
    loss: Literal["plain", "huber", "bisquare"] = "plain"
    level: Annotated[float, Field(ge=0.5, le=0.999)] = 0.95
    force_zero: Text = "0 N"
    travel_zero: Text = "0 mm"


class LeakQuestion(_Question):
    """A leak-down, or pressures of the lower leg over rides; the unit gives the volumes."""

    fork: Draft | None
    file: Key
    gauge_step: Text = "0 psi"
    hose: Text = "0 ml"
    altitude: Text = "0 m"
    level: Annotated[float, Field(ge=0.5, le=0.999)] = 0.95
