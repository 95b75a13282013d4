"""The road of a ride: what its wheel meets in time, and the weight that slopes move to the other wheel."""

from __future__ import annotations

from dataclasses import replace

from forkwright.ride.course import Course, Road, road_under_wheel
from forkwright.ride.options import RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.step import step_on_ladder
from forkwright.units import InputError

LONGEST_RIDE = 3600.0
"""s; a longer course is better ridden in stages."""


def road_for(course: Course, p: RideParameters, options: RideOptions) -> Road:
    """Return what the wheel of a ride meets, at the step that suits its parameters.

    Parameters
    ----------
    course : Course
    p : RideParameters
    options : RideOptions

    Returns
    -------
    Road, its last column turned into the weight (N) that the slope moves to the other wheel.

    Raises
    ------
    InputError
        For a course that lasts longer than an hour.

    Notes
    -----
    Source: docs/ride.md, "Slopes".
    """
    return with_weight_shift(road_with_slopes(course, p, options), p.slope_shift)


def road_with_slopes(course: Course, p: RideParameters, options: RideOptions) -> Road:
    """Return the same with the slope's sine in its last column, as `road_under_wheel` gives it."""
    check_duration(course)
    step = options.step or step_on_ladder(p)
    return road_under_wheel(course, step, options.tyre.outer_radius, options.tyre.patch_length)


def check_duration(course: Course) -> None:
    """Refuse a course that lasts longer than `LONGEST_RIDE`."""
    if course.duration > LONGEST_RIDE:
        raise InputError(
            "the course takes too long to ride",
            key="length",
            value=f"{course.duration:.0f} s",
            allowed=f"up to {LONGEST_RIDE:.0f} s",
        )


def with_weight_shift(road: Road, slope_shift: float) -> Road:
    """Return a road whose last column is the weight moved to the other wheel, N, instead of the slope's
    sine; `slope_shift` is that of `RideParameters`, N."""
    values = road.values.copy()
    values[:, 3] *= slope_shift
    return replace(road, values=values)
