"""What the Balance page asks, turned into units, a stance and options."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft, DraftReader
from forkwright.app.question import Day
from forkwright.app.tuning.courses import CourseChoice
from forkwright.app.tuning.ride_fields import read_tyre_pressure
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.ride.attitude import Stance
    from forkwright.ride.pitch_options import PitchOptions

Finite = Annotated[float, Field(allow_inf_nan=False)]
Percent = Annotated[float, Field(ge=0.0, le=100.0, allow_inf_nan=False)]


class BalanceQuestion(BaseModel):
    """Fork, shock, rider and bike; what is held; and which end is to be brought to the other."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    shock: Draft
    rider: Draft
    bike: Draft
    change: Literal["rear", "front"] = "rear"
    sag_lead_percent: Annotated[float, Field(ge=-30.0, le=30.0, allow_inf_nan=False)] = 4.0
    front_brake_percent: Percent = 70.0
    gradient: Finite = 0.0
    speed_change_m_s2: Finite = 0.0
    rider_shift_m: Finite = 0.0
    tyre_pressure: Annotated[str, Field(max_length=40)] = "24 psi"
    day: Day = Day()
    units: Annotated[dict[str, str], Field(max_length=20)] = {}


class BothRideQuestion(BalanceQuestion):
    """The same over a course."""

    course: CourseChoice


def read_units(question: BalanceQuestion, drafts: DraftReader) -> tuple[Unit, Unit, Rider, Bike]:
    """Return fork, shock, rider and bike.

    Raises
    ------
    InputError
        If they are no fork and shock.
    """
    fork, shock = drafts.unit(question.fork), drafts.unit(question.shock)
    for unit, kind in ((fork, "fork"), (shock, "shock")):
        if unit.kind != kind:
            raise InputError(f"this is no {kind}", key="kind", value=unit.kind, allowed=kind)
    return fork, shock, drafts.rider(question.rider), drafts.bike(question.bike)


def options_of(question: BalanceQuestion) -> PitchOptions:
    """Return the options of the pitch plane (InputError for a tyre pressure that is none)."""
    from forkwright.ride.options import Tyre
    from forkwright.ride.pitch_options import PitchOptions

    return PitchOptions(
        tyre=Tyre(pressure=read_tyre_pressure(question.tyre_pressure)),
        front_brake=question.front_brake_percent / 100.0,
        rider_shift=question.rider_shift_m,
    )


def stance_of(question: BalanceQuestion) -> Stance:
    """Return what is held."""
    from forkwright.ride.attitude import Stance

    return Stance(question.gradient, question.speed_change_m_s2)
