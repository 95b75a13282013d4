"""A course: the ground along a trail, how fast it is ridden, and what presses the bike onto it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import G0
from forkwright.physics.road import disc_envelope, patch_average

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Course:
    """The ground and the speed along a trail, at even spacing.

    Parameters
    ----------
    name : str
    distance : array
        Distance along the trail, m, shape (n,), from 0, evenly spaced.
    elevation : array
        Height of the ground above the trail's mean line, m, shape (n,).
    speed : array
        Riding speed, m/s, above zero, shape (n,).
    load_factor : array
        How many times its weight presses the bike onto the ground, dimensionless, shape (n,).
    gradient : array
        Slope of the mean line, positive uphill, dimensionless, shape (n,).
    marks : tuple of (float, str)
        Where each event lies (m) and its kind.
    warnings : tuple of str
    """

    name: str
    distance: Array
    elevation: Array
    speed: Array
    load_factor: Array
    gradient: Array
    marks: tuple[tuple[float, str], ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def spacing(self) -> float:
        """Distance between two points, m."""
        return float(self.distance[1] - self.distance[0])

    @property
    def length(self) -> float:
        """Length of the course, m."""
        return float(self.distance[-1])

    @cached_property
    def time(self) -> Array:
        """Time at which the front wheel reaches each point, s, shape (n,)."""
        pace = 1.0 / self.speed
        return np.concatenate(([0.0], np.cumsum(0.5 * (pace[1:] + pace[:-1]) * self.spacing)))

    @property
    def duration(self) -> float:
        """Time the course takes, s."""
        return float(self.time[-1])

    @cached_property
    def fingerprint(self) -> str:
        """Short hash of everything that is ridden over."""
        digest = hashlib.sha256()
        for line in (self.distance, self.elevation, self.speed, self.load_factor, self.gradient):
            digest.update(np.ascontiguousarray(line).tobytes())
        return digest.hexdigest()[:16]


@dataclass(frozen=True)
class Road:
    """What one wheel meets in time.

    Parameters
    ----------
    step : float
        Time step, s.
    values : array
        Height under the wheel (m), its rate (m/s), gravity across the trail (m/s2) and the slope's sine
        (dimensionless, positive uphill) at every half step, shape (2 n + 1, 4).
    distance : array
        Where the wheel is at every step, m, shape (n + 1,).
    """

    step: float
    values: Array
    distance: Array

    @property
    def time(self) -> Array:
        """Time at every step, s, shape (n + 1,)."""
        return np.arange(self.distance.size, dtype=np.float64) * self.step


def road_under_wheel(course: Course, step: float, wheel_radius: float, patch_length: float) -> Road:
    """Turn a course into what a wheel meets in time.

    The wheel is a disc that cannot cut into the ground, its contact patch takes the mean over its length,
    and a cubic spline through the result gives height and slope between the course's points.

    Parameters
    ----------
    course : Course
    step : float
        Time step, s.
    wheel_radius : float
        m.
    patch_length : float
        Length of the contact patch, m.

    Returns
    -------
    Road
        The last step may end up to one step before the course does.

    Notes
    -----
    Source: geometry (derived); see `forkwright.physics.road`.
    """
    from scipy.interpolate import CubicSpline

    path = patch_average(
        disc_envelope(course.elevation, course.spacing, wheel_radius), course.spacing, patch_length
    )
    line = CubicSpline(course.distance, path - path[0])
    steps = max(int(course.duration / step * (1.0 + 1e-12)), 1)
    time = 0.5 * step * np.arange(2 * steps + 1)
    distance = np.interp(time, course.time, course.distance)
    speed = np.interp(distance, course.distance, course.speed)
    slope = np.arctan(np.interp(distance, course.distance, course.gradient))
    values = np.empty((time.size, 4))
    values[:, 0] = line(distance)
    values[:, 1] = line(distance, 1) * speed
    values[:, 2] = G0 * np.interp(distance, course.distance, course.load_factor) * np.cos(slope)
    values[:, 3] = np.sin(slope)
    return Road(step, values, distance[::2])
