"""What a ride of both ends is told beyond units, rider, bike and course, and the forces that come of it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from forkwright.ride.options import Tyre
from forkwright.ride.pitch_layout import Layout
from forkwright.ride.pitch_road import TwoWheelRoad
from forkwright.units import InputError

Array = NDArray[np.float64]

STEP = 5.0e-4
"""s; a wheel on metal turns through 0.2 rad of its fastest swing in it."""


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


def forces_of(road: TwoWheelRoad, layout: Layout, options: PitchOptions, head_angle: float) -> Array:
    """Return the moment (N m, nose-up) and what braking presses the fork by (N), shape (2 n + 1, 2)."""
    return np.column_stack(
        pitching(road.pull, road.gravity, _shift(road, options), layout, options.front_brake, head_angle)
    )


def pitching(
    pull: Array, gravity: Array, shift: Array, layout: Layout, front_brake: float, head_angle: float
) -> tuple[Array, Array]:
    """Return the pitching moment (N m, nose-up) and what braking presses the fork by (N, vertically).

    Parameters
    ----------
    pull : array
        What the tyres push forward per mass, m/s2; below zero the brakes work.
    gravity : array
        Across the trail, m/s2.
    shift : array
        How far the rider stands ahead of the usual place, m.
    layout : Layout
    front_brake : float
        The front's share of braking, 0 to 1.
    head_angle : float
        rad.

    Returns
    -------
    moment, dive : array
        Of the same shape.

    Notes
    -----
    Source: statics (derived). The tyres push the whole mass forward with ``F = m (a + g sin slope)`` at the
    ground, which turns the bike nose-up by ``F h``. A front brake force B along the ground works ``B cos t``
    along a fork at the angle t, that is ``B cot t`` in its vertical travel. A rider who stands ahead by s
    adds ``-m_rider g s``.
    """
    push = layout.whole_mass * pull
    moment = push * layout.centre_height - layout.rider_mass * gravity * shift
    brake = front_brake * np.maximum(-push, 0.0)
    return moment, brake / np.tan(head_angle)


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
