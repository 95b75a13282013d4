"""The published form of the ride's answers: SI, pressures absolute, the unit as the key's ending."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from forkwright.physics.road import REFERENCE_FREQUENCY
from forkwright.ride.audit import EnergyAudit
from forkwright.ride.course import Course
from forkwright.ride.scores import SPEED_EDGES, TRAVEL_EDGES
from forkwright.ride.simulate import RideResult
from forkwright.ride.sweep import SweepResult

HISTORY = {
    "time_s": "time",
    "distance_m": "distance",
    "ground_m": "ground",
    "wheel_height_m": "wheel_height",
    "sprung_height_m": "sprung_height",
    "travel_m": "travel",
    "travel_speed_m_s": "travel_speed",
    "sprung_acceleration_m_s2": "sprung_acceleration",
    "tyre_force_N": "tyre_force",
    "positive_Pa": "positive",
    "floating_m": "floating",
    "rider_height_m": "rider_height",
}
"""Columns of a ride's history, and the fields of `RideResult` they come from."""


def ride_answer(ride: RideResult, course: Course, history_rate: float = 0.0) -> dict[str, Any]:
    """Return a ride as the JSON object that the command line and the API give.

    Parameters
    ----------
    ride : RideResult
    course : Course
    history_rate : float
        Points of the history a second (Hz), 0 for none.

    Returns
    -------
    dict
    """
    answer: dict[str, Any] = {
        "course": course.name,
        "length_m": course.length,
        **ride.scores.numbers(),
        "travel_edges_share": TRAVEL_EDGES,
        "travel_share": ride.scores.travel_share,
        "speed_edges_m_s": SPEED_EDGES,
        "speed_share": ride.scores.speed_share,
        "energy_J": _account(ride.audit),
        "energy_imbalance": ride.audit.imbalance,
        "step_s": ride.step,
        "fingerprint": ride.unit_fingerprint,
        "course_fingerprint": ride.course_fingerprint,
        "warnings": list(ride.warnings),
    }
    if history_rate > 0.0:
        answer["history"] = history(ride, history_rate)
    return answer


def _account(audit: EnergyAudit) -> dict[str, float]:
    works = dataclasses.asdict(audit)
    del works["least"]
    return works | {"residual": audit.residual}


def history(ride: RideResult, rate: float) -> dict[str, Any]:
    """Return a ride's history, thinned to about `rate` points a second (Hz)."""
    stride = max(round(1.0 / (rate * ride.step)), 1)
    return {key: getattr(ride, name)[::stride] for key, name in HISTORY.items()}


def course_answer(course: Course) -> dict[str, Any]:
    """Return what a course is like as the JSON object that the command line gives.

    The roughness is a straight line through the logarithm of Welch's estimate between 0.1 and 2 cycle/m; it
    takes in events as well.
    """
    density, waviness = fitted_roughness(course)
    return {
        "course": course.name,
        "length_m": course.length,
        "duration_s": course.duration,
        "rms_height_m": float(course.elevation.std()),
        "roughness_density_m3": density,
        "waviness": waviness,
        "fastest_m_s": float(course.speed.max()),
        "slowest_m_s": float(course.speed.min()),
        "greatest_load_factor": float(course.load_factor.max()),
        "steepest_climb": float(course.gradient.max()),
        "steepest_descent": float(course.gradient.min()),
        "event_m": [place for place, _ in course.marks],
        "event_kind": [kind for _, kind in course.marks],
        "course_fingerprint": course.fingerprint,
        "warnings": list(course.warnings),
    }


def fitted_roughness(course: Course) -> tuple[float, float]:
    """Return Gd(n0) (m3) and waviness fitted to a course's elevation; zeros where it is too short or flat."""
    from scipy.signal import welch

    per_segment = min(course.elevation.size, round(20.0 / course.spacing))
    frequency, density = welch(course.elevation, 1.0 / course.spacing, nperseg=per_segment)
    inside = (frequency >= REFERENCE_FREQUENCY) & (frequency <= 2.0) & (density > 0.0)
    if np.count_nonzero(inside) < 4:
        return 0.0, 0.0
    slope, level = np.polyfit(np.log(frequency[inside] / REFERENCE_FREQUENCY), np.log(density[inside]), 1)
    return float(np.exp(level)), float(-slope)


def sweep_answer(result: SweepResult) -> dict[str, Any]:
    """Return how far a sweep came as the JSON object that the command line gives."""
    return {
        "folder": str(result.folder),
        "settings": result.settings,
        "courses": result.courses,
        "done": result.done,
        "finished": result.finished,
        "warnings": [] if result.finished else ["the sweep was stopped; call it again to go on"],
    }
