"""What both wheels of a bike meet: the rear a wheelbase behind, and what speeds the bike up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import G0
from forkwright.ride.course import Course, road_under_wheel

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TwoWheelRoad:
    """The ground under both wheels and what speeds the bike up, in time.

    Parameters
    ----------
    step : float
        s.
    heights : array
        Heights under front and rear wheel (m) and their rates (m/s) at every half step, shape (2 n + 1, 4).
    gravity : array
        Across the trail, m/s2, shape (2 n + 1,).
    pull : array
        What the tyres must push forward per mass: the change of speed and the slope's share of weight, m/s2,
        shape (2 n + 1,); below zero the brakes work.
    distance : array
        Of the front wheel at every step, m, shape (n + 1,).
    """

    step: float
    heights: Array
    gravity: Array
    pull: Array
    distance: Array

    @property
    def time(self) -> Array:
        """Time at every step, s, shape (n + 1,)."""
        return np.arange(self.distance.size, dtype=np.float64) * self.step


def road_under_both(
    course: Course, step: float, wheel_radius: float, patch_length: float, wheelbase: float
) -> TwoWheelRoad:
    """Return what both wheels meet; before its start the course is flat.

    Parameters
    ----------
    course : Course
    step : float
        s.
    wheel_radius, patch_length, wheelbase : float
        m.

    Notes
    -----
    Source: kinematics (derived): the rear wheel passes a place when the front is a wheelbase ahead. The
    change of speed is ``v dv/dx`` of the course. Air drag and rolling resistance are left out.
    """
    from scipy.interpolate import CubicHermiteSpline

    front = road_under_wheel(course, step, wheel_radius, patch_length)
    time = 0.5 * step * np.arange(front.values.shape[0])
    distance = np.interp(time, course.time, course.distance)
    speed = np.interp(distance, course.distance, course.speed)
    behind = distance - wheelbase
    when = np.interp(behind, course.distance, course.time)
    height, rate = front.values[:, 0], front.values[:, 1]
    line = CubicHermiteSpline(time, height, rate)
    there = np.interp(when, time, speed)
    started = behind > 0.0
    rear = np.where(started, line(when), height[0])
    rear_rate = np.where(started, line(when, 1) / there * speed, 0.0)
    change = np.interp(distance, course.distance, np.gradient(course.speed, course.spacing)) * speed
    pull = change + G0 * front.values[:, 3]
    heights = np.column_stack([height, rear, rate, rear_rate])
    return TwoWheelRoad(step, heights, front.values[:, 2].copy(), pull, front.distance)
