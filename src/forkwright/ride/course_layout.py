"""From a course's plan to the course: its ground, speed, load and gradient laid out along the trail."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.road import drawn_heights, root_mean_square_height
from forkwright.ride.course import Course
from forkwright.ride.course_plan import CourseFile, Roughness
from forkwright.ride.events import Lines
from forkwright.ride.profile import read_profile
from forkwright.units import InputError

Array = NDArray[np.float64]

Measured = tuple[Array, Array, Array]
"""A measured profile: distance (m), ground above the trail's mean line (m), gradient of that line."""

MOST_POINTS = 4_000_000
FADE = 1.0
"""Length over which a stretch of roughness comes in and goes out, m; own definition."""

ROUGHEST = 0.15
"""rms height (m) of a stretch above which a remark is made; own choice."""


def laid_out(plan: CourseFile, folder: Path | None = None) -> Course:
    """Lay out a course from its plan: ground, speed, load and gradient along the trail.

    Parameters
    ----------
    plan : CourseFile
    folder : path, optional
        Where the profile lies.

    Returns
    -------
    Course

    Raises
    ------
    InputError
        When a stretch or an event lies outside the course, or the course has too many points.
    """
    if not plan.speed:
        raise InputError("missing key: a course needs a speed", key="speed")
    measured = _measured(plan, folder)
    length = _length(plan, measured)
    distance = _places(plan, length)
    lines = Lines(distance, np.zeros(distance.size), np.ones(distance.size), np.zeros(distance.size))
    if measured is not None:
        _lay_profile(lines, measured, length, plan.spacing.si)
    warnings: list[str] = []
    for number, stretch in enumerate(plan.roughness):
        _roughen(lines, plan.spacing.si, stretch, f"roughness.{number}", warnings)
    _lay_events(lines, plan, length)
    points = sorted(plan.speed, key=lambda point: point.at.si)
    speed = np.interp(distance, [point.at.si for point in points], [point.speed.si for point in points])
    marks = tuple(sorted((event.at.si, event.kind) for event in plan.event))
    return Course(
        plan.name, distance, lines.elevation, speed, lines.load_factor, lines.gradient, marks, tuple(warnings)
    )


def _measured(plan: CourseFile, folder: Path | None) -> Measured | None:
    """Read the measured profile that a plan names."""
    if plan.profile is None:
        return None
    if folder is None or Path(plan.profile.file).name != plan.profile.file:
        raise InputError(
            "a profile must lie beside its course file and be named without a folder",
            key="profile.file",
            value=plan.profile.file,
        )
    return read_profile(folder / plan.profile.file, plan.profile.smoothing.si)


def _length(plan: CourseFile, measured: Measured | None) -> float:
    """Return the course's length, m: as the plan says, else the profile's."""
    if plan.length is not None:
        return plan.length.si
    if measured is None:
        raise InputError("missing key: a course without a profile needs its length", key="length")
    return float(measured[0][-1])


def _places(plan: CourseFile, length: float) -> Array:
    """Return the evenly spaced distances along a course."""
    count = round(length / plan.spacing.si) + 1
    if count > MOST_POINTS:
        raise InputError(
            "too many points; take a shorter course or a wider spacing",
            key="spacing",
            value=plan.spacing.text,
            allowed=f"{length / MOST_POINTS * 1e3:.1f} mm or more for this length",
        )
    return np.asarray(plan.spacing.si * np.arange(count), np.float64)


def _lay_profile(lines: Lines, measured: Measured, length: float, spacing: float) -> None:
    """Lay a measured profile under everything else."""
    if length > measured[0][-1] + spacing:
        raise InputError(
            "the measured profile is shorter than the course",
            key="length",
            allowed=f"up to {measured[0][-1]:.2f} m",
        )
    lines.elevation[:] += np.interp(lines.distance, measured[0], measured[1])
    lines.gradient[:] += np.interp(lines.distance, measured[0], measured[2])


def _lay_events(lines: Lines, plan: CourseFile, length: float) -> None:
    for number, event in enumerate(plan.event):
        if event.at.si > length:
            raise InputError(
                "beyond the end of the course",
                key=f"event.{number}.at",
                value=event.at.text,
                allowed=f"0 m to {length:g} m",
            )
        event.lay(lines)


def _roughen(lines: Lines, spacing: float, stretch: Roughness, key: str, warnings: list[str]) -> None:
    """Add one stretch of random roughness, faded in and out."""
    if (stretch.roughness_class is None) == (stretch.density is None):
        raise InputError("give either class or density", key=key)
    start, end = stretch.start.si, stretch.end.si
    if not start < end <= lines.distance[-1] + spacing:
        raise InputError(
            "the stretch must end behind its start and within the course",
            key=f"{key}.to",
            value=stretch.end.text,
            allowed=f"{start:g} m to {lines.distance[-1]:g} m",
        )
    longest = min(stretch.longest_wave.si, end - start)
    if not 2.0 * spacing <= stretch.shortest_wave.si < longest:
        raise InputError(
            "the shortest wave must be at least two spacings and shorter than the longest",
            key=f"{key}.shortest_wave",
            value=stretch.shortest_wave.text or f"{stretch.shortest_wave.si:.3f} m",
        )
    inside = (lines.distance >= start) & (lines.distance <= end)
    heights = drawn_heights(
        int(inside.sum()),
        spacing,
        stretch.mean_density,
        stretch.waviness,
        1.0 / longest,
        1.0 / stretch.shortest_wave.si,
        stretch.seed,
    )
    way = lines.distance[inside]
    edge = np.clip(np.minimum(way - start, end - way) / min(FADE, 0.5 * (end - start)), 0.0, 1.0)
    lines.elevation[inside] += heights * 0.5 * (1.0 - np.cos(np.pi * edge))
    rms = root_mean_square_height(
        stretch.mean_density, stretch.waviness, 1.0 / longest, 1.0 / stretch.shortest_wave.si
    )
    if rms > ROUGHEST:
        warnings.append(
            f"{key}: rms height {rms * 1e3:.0f} mm, more than a wheel rolls over; use a shorter longest_wave"
        )
