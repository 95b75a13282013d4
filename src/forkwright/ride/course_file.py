"""Course files: TOML that lays out speed, roughness, events and gradient along a trail, or names a
profile."""

from __future__ import annotations

import dataclasses
import os
import re
from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.files import parse_toml, read_file, validated
from forkwright.physics.road import (
    CLASS_MEAN,
    HIGHEST_FREQUENCY,
    LOWEST_FREQUENCY,
    drawn_heights,
    root_mean_square_height,
)
from forkwright.ride.course import Course
from forkwright.ride.events import KINDS, Event, Lines, Place
from forkwright.ride.profile import Profile, read_profile
from forkwright.units import InputError, Measure

Array = NDArray[np.float64]
Wave = Annotated[Measure, quantity("length", "10 mm", "1000 m")]

MOST_POINTS = 4_000_000
FADE = 1.0
"""Length over which a stretch of roughness comes in and goes out, m; own definition."""


class SpeedPoint(Part):
    """Riding speed at one place; it changes evenly from point to point."""

    at: Place
    speed: Annotated[Measure, quantity("speed", "0.3 m/s", "30 m/s")]


class Roughness(Part):
    """A stretch of random roughness, by class of ISO 8608 or by its density at 0.1 cycle/m (1e-6 m3)."""

    start: Annotated[Measure, quantity("length", "0 m", "20000 m"), Field(alias="from")]
    end: Annotated[Measure, quantity("length", "0 m", "20000 m"), Field(alias="to")]
    roughness_class: Annotated[
        Literal["A", "B", "C", "D", "E", "F", "G", "H"] | None, Field(alias="class")
    ] = None
    density: Annotated[float, Field(gt=0, le=1e6)] | None = None
    waviness: Annotated[float, Field(ge=1.0, le=4.0)] = 2.0
    shortest_wave: Wave = Measure(1.0 / HIGHEST_FREQUENCY)
    longest_wave: Wave = Measure(1.0 / LOWEST_FREQUENCY)
    seed: Annotated[int, Field(ge=0, le=2**31)] = 0

    @property
    def mean_density(self) -> float:
        """Gd(n0), m3."""
        if self.roughness_class is not None:
            return CLASS_MEAN[self.roughness_class]
        return (self.density or 0.0) * 1e-6


class CourseFile(Part):
    """What a course file may hold."""

    format: Literal[1] = 1
    kind: Literal["course"]
    name: Annotated[str, Field(min_length=1, max_length=200)]
    length: Annotated[Measure, quantity("length", "2 m", "20000 m")] | None = None
    spacing: Annotated[Measure, quantity("length", "2 mm", "50 mm")] = Measure(0.005, text="5 mm")
    speed: Annotated[tuple[SpeedPoint, ...], Field(max_length=1000)]
    roughness: Annotated[tuple[Roughness, ...], Field(max_length=1000)] = ()
    event: Annotated[tuple[Event, ...], Field(max_length=5000)] = ()
    profile: Profile | None = None


def load_course(path: str | os.PathLike[str]) -> Course:
    """Read a course file; a profile it names lies beside it.

    Parameters
    ----------
    path : path
        A TOML file.

    Returns
    -------
    Course

    Raises
    ------
    InputError
        Naming file, line, key, value and allowed range of the first thing wrong.
    """
    name = os.fspath(path)
    return read_course(read_file(path), name, folder=Path(path).parent)


def find_course(text: str) -> Course:
    """Return a course by its file, or a demonstration stage by its name, for example "heather-traverse".

    Raises
    ------
    InputError
        If there is neither, or the file is wrong.
    """
    demo = Path(__file__).parents[1] / "demo" / "courses"
    known = sorted(path.stem for path in demo.glob("*.toml"))
    if not os.path.exists(text) and text in known:
        return load_course(demo / f"{text}.toml")
    if not os.path.exists(text) and "." not in text and os.sep not in text:
        raise InputError(
            "no such course", key="--course", value=text, allowed=f"a file, or {', '.join(known)}"
        )
    return load_course(text)


def read_course(text: str, file: str = "text", folder: Path | None = None) -> Course:
    """Read a course from TOML text.

    Parameters
    ----------
    text : str
    file : str
        Only named in errors.
    folder : path, optional
        Where a profile named in the text lies; without it a profile is refused.

    Returns
    -------
    Course

    Raises
    ------
    InputError
        As `load_course`.
    """
    try:
        plan = validated(CourseFile, parse_toml(text, file), file=file, text=text)
        return laid_out(plan, folder)
    except InputError as fault:
        key = re.sub(r"^(event\.\d+)\.(?:" + "|".join(KINDS) + r")\b", r"\1", fault.key or "")
        raise dataclasses.replace(
            fault, file=fault.file or file, key=key or None, line=_line(text, key) or fault.line
        ) from None


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
    length = (
        plan.length.si if plan.length is not None else (measured[0][-1] if measured is not None else None)
    )
    if length is None:
        raise InputError("missing key: a course without a profile needs its length", key="length")
    count = round(length / plan.spacing.si) + 1
    if count > MOST_POINTS:
        raise InputError(
            "too many points; take a shorter course or a wider spacing",
            key="spacing",
            value=plan.spacing.text,
            allowed=f"{length / MOST_POINTS * 1e3:.1f} mm or more for this length",
        )
    distance = plan.spacing.si * np.arange(count)
    lines = Lines(distance, np.zeros(count), np.ones(count), np.zeros(count))
    warnings: list[str] = []
    if measured is not None:
        if length > measured[0][-1] + plan.spacing.si:
            raise InputError(
                "the measured profile is shorter than the course",
                key="length",
                allowed=f"up to {measured[0][-1]:.2f} m",
            )
        lines.elevation[:] += np.interp(distance, measured[0], measured[1])
        lines.gradient[:] += np.interp(distance, measured[0], measured[2])
    for number, stretch in enumerate(plan.roughness):
        _roughen(lines, plan.spacing.si, stretch, f"roughness.{number}", warnings)
    for number, event in enumerate(plan.event):
        if event.at.si > length:
            raise InputError(
                "beyond the end of the course",
                key=f"event.{number}.at",
                value=event.at.text,
                allowed=f"0 m to {length:g} m",
            )
        event.lay(lines)
    points = sorted(plan.speed, key=lambda point: point.at.si)
    speed = np.interp(distance, [point.at.si for point in points], [point.speed.si for point in points])
    marks = tuple(sorted((event.at.si, event.kind) for event in plan.event))
    return Course(
        plan.name, distance, lines.elevation, speed, lines.load_factor, lines.gradient, marks, tuple(warnings)
    )


def _measured(plan: CourseFile, folder: Path | None) -> tuple[Array, Array, Array] | None:
    if plan.profile is None:
        return None
    if folder is None or Path(plan.profile.file).name != plan.profile.file:
        raise InputError(
            "a profile must lie beside its course file and be named without a folder",
            key="profile.file",
            value=plan.profile.file,
        )
    return read_profile(folder / plan.profile.file, plan.profile.smoothing.si)


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
    if rms > 0.15:
        warnings.append(
            f"{key}: rms height {rms * 1e3:.0f} mm, more than a wheel rolls over; use a shorter longest_wave"
        )


def _line(text: str, key: str | None) -> int | None:
    """Return the line of a key inside the n-th table of a list such as ``event.3.height``."""
    match = re.match(r"(speed|roughness|event)\.(\d+)(?:\.(?:[a-z_]+\.)?([a-z_]+))?$", key or "")
    if match is None:
        return None
    seen, line = -1, None
    for number, row in enumerate(text.splitlines(), start=1):
        stripped = row.strip()
        if stripped.startswith("["):
            seen += stripped.startswith(f"[[{match[1]}]]")
            if seen > int(match[2]):
                break
            if seen == int(match[2]) and stripped.startswith(f"[[{match[1]}]]"):
                line = number
            elif line is not None:
                break
        elif line is not None and match[3] and re.match(rf"{match[3]}\s*=", stripped):
            return number
    return line
