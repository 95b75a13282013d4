"""What the four tuning pages ask, and turning it into hardware, courses and numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft
from forkwright.app.tuning.courses import CourseChoice
from forkwright.units import InputError
from forkwright.units.typed_in import read_quantity

if TYPE_CHECKING:
    from forkwright.ride.options import RideOptions

_LEAST_TYRE, _MOST_TYRE = 2.0e4, 1.0e6  # Pa, gauge

Units = Annotated[dict[str, str], Field(max_length=20)]
Text = Annotated[str, Field(max_length=40)]
Courses = Annotated[list[CourseChoice], Field(max_length=12)]
Percent = Annotated[float, Field(ge=0.0, le=100.0, allow_inf_nan=False)]


class _Question(BaseModel):
    model_config = ConfigDict(extra="forbid")

    units: Units = {}


class RiddenQuestion(_Question):
    """Who rides what."""

    fork: Draft
    rider: Draft
    bike: Draft


class UseQuestion(BaseModel):
    """Which travel and speeds count: all alike, a stated stretch, rides of A over courses, or a log of A.

    `file` is the key of a log that this browser has brought in on the Ride logs page, `channel` its travel.
    """

    model_config = ConfigDict(extra="forbid")

    kind: Literal["even", "stated", "courses", "log"] = "even"
    used_from: Text = "0 mm"
    used_to: Text = ""
    fastest: Text = "2 m/s"
    courses: Courses = []
    file: Text = ""
    channel: Annotated[str, Field(max_length=100)] = "travel"


class RevalveQuestion(BaseModel):
    """Whether stacks for B's valves are wanted too: from its own shims, or a list, one size a line."""

    model_config = ConfigDict(extra="forbid")

    kind: Literal["none", "own", "drawer"] = "none"
    shims: Annotated[str, Field(max_length=8000)] = ""


class MatchQuestion(_Question):
    """Carry the feel of A over to B."""

    a: Draft
    b: Draft
    rider: Draft
    bike: Draft
    use: UseQuestion = UseQuestion()
    revalve: RevalveQuestion = RevalveQuestion()
    oil_temperature: Text = "20 °C"


class SearchQuestion(RiddenQuestion):
    """What a search over simulated rides is told beside fork, rider and bike."""

    wishes: Annotated[list[Annotated[str, Field(max_length=40)]], Field(max_length=8)] = []
    margin_percent: Percent = 0.0
    tyre_pressure: Text = "24 psi"
    limbs: bool = False
    seed: Annotated[int, Field(ge=0, le=2**31)] = 1
    bands: bool = True


class LogQuestion(BaseModel):
    """A log of the unit at its present setting: courses count by how much of it each stands for.

    `file` is the key of a log that this browser has brought in on the Ride logs page, `channel` its travel.
    """

    model_config = ConfigDict(extra="forbid")

    file: Text
    channel: Annotated[str, Field(max_length=100)] = "travel"


class RecommendQuestion(SearchQuestion):
    """Settings to start with over some courses, weighed alike or as a log says."""

    courses: Annotated[list[CourseChoice], Field(min_length=1, max_length=12)]
    log: LogQuestion | None = None


class StageQuestion(BaseModel):
    """One stage of a race."""

    model_config = ConfigDict(extra="forbid")

    name: Annotated[str, Field(max_length=60)]
    course: CourseChoice
    altitude: Text = "0 m"


class StagesQuestion(SearchQuestion):
    """A race: its stages in order, and what the day may bring."""

    race: Annotated[list[StageQuestion], Field(min_length=1, max_length=12)]
    pressures_too: bool = False
    speed_spread_percent: Percent = 10.0
    expected: Text = "20 °C"
    coldest: Text = ""
    warmest: Text = ""
    fill_temperature: Text = "20 °C"
    fill_altitude: Text = "0 m"
    title: Annotated[str, Field(max_length=60)] = "Race"


class UncertaintyQuestion(RiddenQuestion):
    """How sure the spring's answers are; with another fork, whether the two differ beyond doubt."""

    against: Draft | None = None
    samples: Literal[128, 256, 512, 1024] = 512


def ride_options(asked: SearchQuestion) -> RideOptions:
    """Return the options of the rides that a search simulates.

    Raises
    ------
    InputError
        For a tyre pressure that is none, or out of range.
    """
    from forkwright.ride.options import Limbs, RideOptions, Tyre

    tyre = Tyre(pressure=read_tyre_pressure(asked.tyre_pressure))
    return RideOptions(tyre=tyre, limbs=Limbs() if asked.limbs else None)


def read_tyre_pressure(text: str) -> float:
    """Return a tyre's gauge pressure (Pa). Raises InputError for one that is none, or out of range."""
    pressure = read_field(text, "pressure", "tyre pressure")
    if not _LEAST_TYRE <= pressure <= _MOST_TYRE:
        raise InputError("out of range", key="tyre pressure", value=text, allowed="3 to 145 psi")
    return pressure


def read_field(text: str, dimension: str, key: str, otherwise: float | None = None) -> float:
    """Return a typed quantity in SI; `otherwise` for an empty field. Errors name the field."""
    if not text.strip() and otherwise is not None:
        return otherwise
    return read_quantity(text, dimension, key)
