"""Ride both ends over a course: heave and pitch of bike and rider on fork and shock."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.bench.loads import fork_load
from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting
from forkwright.physics import Unphysical
from forkwright.ride.course import Course
from forkwright.ride.pitch_build import parameters_of
from forkwright.ride.pitch_ends import WheelEnd, front_end, rear_end
from forkwright.ride.pitch_layout import Layout, layout_of
from forkwright.ride.pitch_options import PitchOptions, check_options, forces_of
from forkwright.ride.pitch_rest import settled
from forkwright.ride.pitch_road import TwoWheelRoad, road_under_both
from forkwright.ride.pitch_scores import EndScores, PitchScores, score_pitch
from forkwright.ride.wheel_road import check_duration

Array = NDArray[np.float64]

STRUCK = 0.015
"""Past its travel (m) a wheel cannot be without breaking something (own choice)."""


@dataclass(frozen=True)
class PitchRide:
    """A ride of both ends: time histories at every step, shape (n + 1,), SI; and the scores."""

    time: Array  # s
    distance: Array  # m, of the front wheel
    heave: Array  # m, rise of the mass centre from the start
    pitch: Array  # rad, nose-up from the start
    front_travel: Array  # m, of the fork
    rear_travel: Array  # m, of the rear wheel
    rear_stroke: Array  # m, of the shock
    front_tyre: Array  # N
    rear_tyre: Array  # N
    heave_acceleration: Array  # m/s2
    pitch_acceleration: Array  # rad/s2
    front: EndScores
    rear: EndScores
    scores: PitchScores
    layout: Layout
    warnings: tuple[str, ...]


def simulate_pitch(
    fork: Unit,
    shock: Unit,
    course: Course,
    *,
    rider: Rider,
    bike: Bike,
    fork_setting: Setting | None = None,
    shock_setting: Setting | None = None,
    conditions: Conditions | None = None,
    options: PitchOptions | None = None,
) -> PitchRide:
    """Ride fork and shock together over a course.

    Parameters
    ----------
    fork, shock : Unit
    course : Course
    rider : Rider
    bike : Bike
        With a leverage curve; wheelbase, centre height and pitch inertia where they are known.
    fork_setting, shock_setting : Setting, optional
        By default those in the files.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    options : PitchOptions, optional

    Returns
    -------
    PitchRide

    Raises
    ------
    InputError
        If something needed is missing, or a unit must not be given its setting.
    Unphysical
        If a wheel carries nothing at the start, or a number is not finite.

    Notes
    -----
    Source: docs/rear.md, "Both ends".

    Examples
    --------
    >>> import forkwright as fw
    >>> from forkwright.ride.course_file import find_course
    >>> fork, shock, rider, bike = (fw.load(fw.demo_file(n)) for n in
    ...                             ("dunlin-160", "linnet-65", "rider", "bike"))
    >>> ride = simulate_pitch(fork, shock, find_course("heather-traverse"), rider=rider, bike=bike)
    >>> bool(0.02 < ride.front.riding < 0.08)
    True
    """
    options, conditions = options or PitchOptions(), conditions or Conditions()
    check_options(options)
    check_duration(course)
    ends = ends_of(fork, shock, rider, bike, fork_setting, shock_setting, conditions)
    layout = layout_of(rider, bike)
    road = road_under_both(
        course, options.step, options.tyre.outer_radius, options.tyre.patch_length, layout.wheelbase
    )
    series, tyre_notes = ridden(ends, layout, road, options, float(bike.head_angle.si))
    return _as_ride(series, ends, layout, road, course, tyre_notes)


def ends_of(
    fork: Unit,
    shock: Unit,
    rider: Rider,
    bike: Bike,
    fork_setting: Setting | None,
    shock_setting: Setting | None,
    conditions: Conditions,
) -> tuple[WheelEnd, WheelEnd]:
    """Return both ends at their wheels, their settings checked against the units' limits."""
    front_setting, rear_setting = fork_setting or fork.setting, shock_setting or shock.setting
    check_setting(fork, front_setting)
    check_setting(shock, rear_setting)
    side = float(fork_load(rider, bike).side)
    return (
        front_end(fork, bike, front_setting, conditions, side),
        rear_end(shock, bike, rear_setting, conditions),
    )


def ridden(
    ends: tuple[WheelEnd, WheelEnd],
    layout: Layout,
    road: TwoWheelRoad,
    options: PitchOptions,
    head_angle: float,
) -> tuple[Array, tuple[str, ...]]:
    """Run the kernel over a road; return what it recorded, shape (n + 1, 8), and the tyre's warnings."""
    from forkwright.ride.pitch_kernel import SERIES, run

    stiffness, notes = options.tyre.stiffness()
    forces = forces_of(road, layout, options, head_angle)
    values = np.column_stack([road.heights, road.gravity, forces])
    start = settled(ends, layout, values[0], stiffness)
    p = parameters_of(ends, layout, stiffness, options, float(start[1]))
    series = np.empty((road.distance.size, len(SERIES)))
    run(p, start, np.zeros(2), values, road.step, series)
    if not np.all(np.isfinite(series)):
        raise Unphysical("the ride of both ends ran out of all bounds (a number is not finite)")
    return series, notes


def _beyond(ends: tuple[WheelEnd, WheelEnd], *scores: EndScores) -> list[str]:
    """Say where a wheel struck far beyond its travel: the model's rider did not clear the course."""
    return [
        f"{end.unit.name}: its wheel strikes {(score.greatest - score.full) * 1e3:.0f} mm past its travel: "
        "this model's rider, stiff on the bike, does not clear the course; do not go by this ride"
        for end, score in zip(ends, scores, strict=True)
        if score.greatest > score.full + STRUCK
    ]


def _as_ride(
    series: Array, ends: tuple[WheelEnd, WheelEnd], layout: Layout, road: TwoWheelRoad, course: Course,
    tyre_notes: tuple[str, ...],
) -> PitchRide:  # fmt: skip
    front, rear = ends
    fork_travel = series[:, 2] * front.lever[0]
    shock_stroke = np.interp(series[:, 3], rear.travel, rear.stroke)
    front_score, rear_score, scores = score_pitch(series, ends, layout, road.step)
    notes = (
        *_beyond(ends, front_score, rear_score),
        *layout.warnings,
        *front.warnings,
        *rear.warnings,
        *tyre_notes,
        *course.warnings,
    )
    return PitchRide(
        time=road.time,
        distance=road.distance,
        heave=series[:, 0] - series[0, 0],
        pitch=series[:, 1] - series[0, 1],
        front_travel=fork_travel,
        rear_travel=series[:, 3],
        rear_stroke=shock_stroke,
        front_tyre=series[:, 4],
        rear_tyre=series[:, 5],
        heave_acceleration=series[:, 6],
        pitch_acceleration=series[:, 7],
        front=front_score,
        rear=rear_score,
        scores=scores,
        layout=layout,
        warnings=tuple(dict.fromkeys(notes)),
    )
