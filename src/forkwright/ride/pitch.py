"""Ride both ends over a course: heave and pitch of bike and rider on fork and shock."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.bench.loads import fork_load
from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting
from forkwright.physics import G0, Unphysical
from forkwright.ride.course import Course
from forkwright.ride.options import DampingTable, Tyre
from forkwright.ride.pitch_ends import FASTEST, WheelEnd, front_end, rear_end
from forkwright.ride.pitch_layout import Layout, layout_of
from forkwright.ride.pitch_road import TwoWheelRoad, road_under_both
from forkwright.ride.pitch_scores import EndScores, PitchScores, score_pitch
from forkwright.ride.simulate import LONGEST_RIDE
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.ride.pitch_kernel import PitchParameters

Array = NDArray[np.float64]

STEP = 5.0e-4
"""s; a wheel on metal turns through 0.2 rad of its fastest swing in it."""

FRICTION_GIVE = 2.0e-4
"""How far a wheel moves before friction slips, m; own assumption (seals give before they slide)."""

STRUCK = 0.015
"""Past its travel (m) a wheel cannot be without breaking something (own choice)."""

_DAMPER_POINTS = 3201


@dataclass(frozen=True)
class PitchOptions:
    """What a ride of both ends needs besides units, rider, bike and course.

    `front_brake` is the share of the braking that the front wheel does; `rider_shift` how far the rider
    stands ahead of the usual place, m (behind: below zero), one value or points of (distance, shift);
    `gas_time` the time in which the springs' gas gives its heat away, s (0: at once). While a wheel is off
    the ground the rider rights the bike as a critically damped swing of `righting` Hz would, with at most
    `righting_limit` N m (own assumptions: three quarters of a second, a third of a metre of the rider's
    weight). `step` in s.
    """

    tyre: Tyre = field(default_factory=Tyre)
    front_brake: float = 0.7
    rider_shift: float | tuple[tuple[float, float], ...] = 0.0
    gas_time: float = 2.0
    righting: float = 1.3
    righting_limit: float = 260.0
    step: float = STEP


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
    if course.duration > LONGEST_RIDE:
        raise InputError(
            "the course takes too long to ride", key="length", value=f"{course.duration:.0f} s",
            allowed=f"up to {LONGEST_RIDE:.0f} s",
        )  # fmt: skip
    ends = ends_of(fork, shock, rider, bike, fork_setting, shock_setting, conditions)
    layout = layout_of(rider, bike)
    road = road_under_both(
        course, options.step, options.tyre.outer_radius, options.tyre.patch_length, layout.wheelbase
    )
    series, tyre_notes = ridden(ends, layout, road, options, float(bike.head_angle.si))
    return _told(series, ends, layout, road, course, tyre_notes)


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
    start = _settled(ends, layout, values[0], stiffness)
    p = parameters_of(ends, layout, stiffness, options, float(start[1]))
    series = np.empty((road.distance.size, len(SERIES)))
    run(p, start, np.zeros(2), values, road.step, series)
    if not np.all(np.isfinite(series)):
        raise Unphysical("the ride of both ends ran out of all bounds (a number is not finite)")
    return series, notes


def parameters_of(
    ends: tuple[WheelEnd, WheelEnd],
    layout: Layout,
    tyre_stiffness: float,
    options: PitchOptions,
    level: float,
) -> PitchParameters:
    """Return the kernel's parameters; `level` is the pitch at rest, rad."""
    from forkwright.ride.pitch_kernel import PitchParameters

    def both(name: str) -> Array:
        return np.array([getattr(end, name) for end in ends], np.float64)

    friction = both("friction")
    pace = 2.0 * np.pi * options.righting
    still = DampingTable(np.array([-FASTEST, 0.0, FASTEST]), np.zeros(3))
    tables = [(end.damping or still).evenly_spaced(FASTEST, _DAMPER_POINTS)[0] for end in ends]
    return PitchParameters(
        mass=layout.mass,
        inertia=layout.inertia,
        arm=np.array([layout.to_front, -layout.to_rear]),
        unsprung=np.array([layout.unsprung_front, layout.unsprung_rear]),
        tyre_stiffness=tyre_stiffness,
        tyre_loss=options.tyre.loss,
        full=both("full"),
        step=np.array([end.travel[1] for end in ends]),
        spring=both("spring"),
        stiffening=both("stiffening") if options.gas_time > 0.0 else np.zeros_like(friction),
        relaxation=1.0 / options.gas_time if options.gas_time > 0.0 else 0.0,
        lever=both("lever"),
        friction=friction,
        friction_rate=float(max(friction.max(), 1.0)) / FRICTION_GIVE,
        top_out=both("top_out"),
        stop=both("stop"),
        damper=np.array(tables),
        lowest_speed=-FASTEST,
        speed_step=2.0 * FASTEST / (_DAMPER_POINTS - 1),
        level=level,
        righting=layout.inertia * pace**2,
        righting_damping=2.0 * layout.inertia * pace,
        righting_limit=options.righting_limit if options.righting > 0.0 else 0.0,
    )


def forces_of(road: TwoWheelRoad, layout: Layout, options: PitchOptions, head_angle: float) -> Array:
    """Return the pitching moment (N m, nose-up) and what braking takes off the fork (N), shape (2 n + 1, 2).

    Notes
    -----
    Source: statics (derived). The tyres push the whole mass forward with ``F = m (a + g sin slope)`` at the
    ground, which turns the bike nose-up by ``F h``. A front brake force B along the ground works ``B cos t``
    along a fork at the angle t, that is ``B cot t`` in its vertical travel. A rider who stands ahead by s
    adds ``-m_rider g s``.
    """
    push = layout.whole_mass * road.pull
    shift = _shift(road, options)
    moment = push * layout.centre_height - layout.rider_mass * road.gravity * shift
    brake = options.front_brake * np.maximum(-push, 0.0)
    return np.column_stack([moment, brake / np.tan(head_angle)])


def check_options(options: PitchOptions) -> None:
    """Refuse options that make no ride."""
    for name, value, low, high in (
        ("front_brake", options.front_brake, 0.0, 1.0),
        ("gas_time", options.gas_time, 0.0, 1e9),
        ("righting", options.righting, 0.0, 10.0),
        ("righting_limit", options.righting_limit, 0.0, 1e4),
        ("step", options.step, 1e-5, 2e-3),
    ):
        if not low <= value <= high:
            raise InputError("out of range", key=name, value=f"{value:g}", allowed=f"{low:g} to {high:g}")
    shifts = options.rider_shift
    values = [shifts] if isinstance(shifts, float | int) else [shift for _, shift in shifts]
    if not values or not all(abs(shift) <= 0.6 for shift in values):
        raise InputError("a rider cannot stand so far off", key="rider_shift", allowed="-0.6 m to 0.6 m")


def _shift(road: TwoWheelRoad, options: PitchOptions) -> Array:
    """The rider's shift at every half step, m."""
    shifts = options.rider_shift
    if isinstance(shifts, float | int):
        return np.full(road.gravity.size, float(shifts))
    where, how = np.array(shifts, np.float64).T
    if np.any(np.diff(where) <= 0.0):
        raise InputError("the rider's shifts must follow each other along the course", key="rider_shift")
    place = np.interp(np.arange(road.gravity.size) * 0.5, np.arange(road.distance.size), road.distance)
    return np.asarray(np.interp(place, where, how), np.float64)


def _settled(ends: tuple[WheelEnd, WheelEnd], layout: Layout, first: Array, tyre_stiffness: float) -> Array:
    """The state in which both ends carry their static loads without friction."""
    gravity, moment, braking = float(first[4]), float(first[5]), float(first[6])
    carried = static_loads(layout, gravity, moment)
    at_end, wheels = [], []
    for place, (end, load, unsprung) in enumerate(
        zip(ends, carried, (layout.unsprung_front, layout.unsprung_rear), strict=True)
    ):
        if load <= 0.0:
            where = "front" if place == 0 else "rear"
            raise Unphysical(f"the {where} wheel carries nothing at the start: the rider would go over")
        wanted = load + (braking if place == 0 else 0.0)
        travel = resting_travel(end, wanted)
        wheels.append(float(first[place]) - (load + unsprung * gravity) / tyre_stiffness)
        at_end.append(wheels[-1] - travel)
    pitch = (at_end[0] - at_end[1]) / layout.wheelbase
    heave = at_end[0] - layout.to_front * pitch
    state = np.zeros(10)
    state[:4] = heave, pitch, wheels[0], wheels[1]
    return state


def static_loads(layout: Layout, gravity: float = G0, moment: float = 0.0) -> tuple[float, float]:
    """Return the sprung loads on front and rear (N) under a gravity (m/s2) and a nose-up moment (N m).

    Notes
    -----
    Source: statics (derived): both add up to the weight, and their moments about the centre to none.
    """
    weight, base = layout.mass * gravity, layout.wheelbase
    return (weight * layout.to_rear - moment) / base, (weight * layout.to_front + moment) / base


def resting_travel(end: WheelEnd, load: float) -> float:
    """Return the vertical wheel travel (m) at which an end carries a load (N) without friction."""
    from scipy.optimize import brentq

    def missing(travel: float) -> float:
        inside = min(max(travel, 0.0), end.full)
        force = float(np.interp(inside, end.travel, end.spring))
        return force + end.top_out * min(travel, 0.0) + end.stop * max(travel - end.full, 0.0) - load

    return float(brentq(missing, -0.2, end.full + 0.2))


def _beyond(ends: tuple[WheelEnd, WheelEnd], *scores: EndScores) -> list[str]:
    """Say where a wheel struck far beyond its travel: the model's rider did not clear the course."""
    return [
        f"{end.unit.name}: its wheel strikes {(score.greatest - score.full) * 1e3:.0f} mm past its travel: "
        "this model's rider, stiff on the bike, does not clear the course; do not go by this ride"
        for end, score in zip(ends, scores, strict=True)
        if score.greatest > score.full + STRUCK
    ]


def _told(
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
