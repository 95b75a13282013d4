"""What the Ride page asks, and turning it into the options of a ride."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from forkwright.app.drafts import Draft
from forkwright.app.question import Day
from forkwright.app.ride.ground import Ground
from forkwright.app.tuning.questions import RiddenQuestion, Text, read_field, read_tyre_pressure

if TYPE_CHECKING:
    from forkwright.ride.options import RideOptions

MOST_SETTINGS = 400
"""Settings in one sweep of the page; the command line takes five million."""


class CourseQuestion(RiddenQuestion):
    """Who rides what, over which course, and on what day; the fields are the options of `forkwright ride`."""

    course: Ground
    tyre_pressure: Text = "24 psi"
    tyre_stiffness: Text = ""
    limbs: bool = False
    isothermal: bool = False
    oil_chambers: bool = False
    stiffening: bool = False
    oil_temperature: Text = ""
    day: Day = Day()


class RideQuestion(CourseQuestion):
    """One ride, or two over the same ground: `against` is the other unit with its setting.

    `from_s` says where the stretch of the ride begins whose history comes back.
    """

    against: Draft | None = None
    from_s: Annotated[float, Field(ge=0.0, le=3600.0, allow_inf_nan=False)] = 0.0


class SweepQuestion(CourseQuestion):
    """A table of settings: `vary` as the command line's option, such as "pressure=70 psi..100 psi:5 psi"."""

    vary: Annotated[list[Annotated[str, Field(max_length=200)]], Field(min_length=1, max_length=4)]


def options_of(asked: CourseQuestion) -> RideOptions:
    """Return the options of a ride.

    Raises
    ------
    InputError
        Naming the field that cannot be read or is out of range.
    """
    from forkwright.ride.options import HeatPaths, Limbs, RideOptions, Tyre

    pressure = read_tyre_pressure(asked.tyre_pressure)
    stiffness = read_field(asked.tyre_stiffness, "stiffness", "tyre stiffness", 0.0)
    oil = read_field(asked.oil_temperature, "temperature", "oil temperature", 0.0)
    return RideOptions(
        tyre=Tyre(pressure=pressure, stiffness_points=((pressure, stiffness),) if stiffness else ()),
        heat=HeatPaths(0.0, 0.0, 0.0, 0.0) if asked.isothermal else HeatPaths(),
        limbs=Limbs() if asked.limbs else None,
        oil_chambers=asked.oil_chambers,
        stiffening=asked.stiffening,
        oil_temperature=oil or None,
    )
