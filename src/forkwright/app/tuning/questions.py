"""What the four tuning pages ask, and turning it into hardware, courses and numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft
from forkwright.app.question import Day, Text
from forkwright.app.tuning.courses import CourseChoice
from forkwright.app.tuning.ride_fields import RideFields, read_if_given
from forkwright.units.typed_in import read_quantity

if TYPE_CHECKING:
    from forkwright.hardware import Bike

Units = Annotated[dict[str, str], Field(max_length=20)]
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


class PumpQuestion(BaseModel):
    """The smallest steps of the shop's pump; empty fields leave them as they usually are."""

    model_config = ConfigDict(extra="forbid")

    pump_step: Text = ""
    secondary_step: Text = ""


class MatchQuestion(_Question, PumpQuestion):
    """Carry the feel of A over to B."""

    a: Draft
    b: Draft
    rider: Draft
    bike: Draft
    use: UseQuestion = UseQuestion()
    revalve: RevalveQuestion = RevalveQuestion()
    oil_temperature: Text = "20 °C"
    day: Day = Day()


class SearchQuestion(RiddenQuestion, RideFields, PumpQuestion):
    """What a search over simulated rides is told beside fork, rider and bike."""

    wishes: Annotated[list[Annotated[str, Field(max_length=40)]], Field(max_length=8)] = []
    margin_percent: Percent = 0.0
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
    day: Day = Day()


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
    """How sure the spring's answers are; with another fork, whether the two differ beyond doubt.

    An empty `load` (along the unit's axis) takes the rider's on the bike; `side_load` goes with a stated one.
    """

    against: Draft | None = None
    samples: Literal[128, 256, 512, 1024, 2048] = 512
    load: Text = ""
    side_load: Text = "0 N"
    oil_temperature: Text = "20 °C"
    day: Day = Day()


class PumpSteps(NamedTuple):
    """Steps of the pump, Pa."""

    main: float
    secondary: float


def pump_steps(asked: PumpQuestion, bike: Bike) -> PumpSteps:
    """Return the steps that were typed; else the bike's for the main pressure, and the usual ones.

    Raises
    ------
    InputError
        For a step that is no pressure, or out of range.
    """
    from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP
    from forkwright.tune.pump_steps import check_pump_steps

    main = read_if_given(asked.pump_step, "pressure", "pump step")
    secondary = read_if_given(asked.secondary_step, "pressure", "secondary step")
    usual = bike.pump_step.si if bike.pump_step is not None else PUMP_STEP
    steps = PumpSteps(usual if main is None else main, SECONDARY_STEP if secondary is None else secondary)
    check_pump_steps(*steps)
    return steps


def read_field(text: str, dimension: str, key: str, otherwise: float | None = None) -> float:
    """Return a typed quantity in SI; `otherwise` for an empty field. Errors name the field."""
    if not text.strip() and otherwise is not None:
        return otherwise
    return read_quantity(text, dimension, key)
