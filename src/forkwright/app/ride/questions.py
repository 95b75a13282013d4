"""What the Ride page asks, and turning it into the options of a ride."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from forkwright.app.drafts import Draft
from forkwright.app.question import Day
from forkwright.app.ride.ground import Ground
from forkwright.app.tuning.questions import RiddenQuestion
from forkwright.app.tuning.ride_fields import RideFields

MOST_SETTINGS = 400
"""Settings in one sweep of the page; the command line takes five million."""


class CourseQuestion(RiddenQuestion, RideFields):
    """Who rides what, over which course, and on what day; the fields are the options of `forkwright ride`.

    A damping table takes the place of the damper in the file on both sides of two rides.
    """

    course: Ground
    day: Day = Day()


class RideQuestion(CourseQuestion):
    """One ride, or two over the same ground: `against` is the other unit with its setting.

    `from_s` says where the stretch of the ride begins whose history comes back; with `check_step` each is
    ridden again at half the step.
    """

    against: Draft | None = None
    from_s: Annotated[float, Field(ge=0.0, le=3600.0, allow_inf_nan=False)] = 0.0
    check_step: bool = False


class SweepQuestion(CourseQuestion):
    """A table of settings: `vary` as the command line's option, such as "pressure=70 psi..100 psi:5 psi".

    Every combination is ridden, or `count` settings that fill the ranges evenly; the same `seed` gives the
    same ones.
    """

    vary: Annotated[list[Annotated[str, Field(max_length=200)]], Field(min_length=1, max_length=4)]
    count: Annotated[int, Field(ge=1, le=MOST_SETTINGS)] | None = None
    seed: Annotated[int, Field(ge=0, le=2**32 - 1)] = 0
