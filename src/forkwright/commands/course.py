"""`forkwright course FILE`: look at a course, or make one from a measured profile."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import json_option, quantity_option
from forkwright.commands.output import print_json, print_warnings
from forkwright.units import InputError, Measure

if TYPE_CHECKING:
    from forkwright.ride.course import Course


@click.command("course")
@click.argument("file")
@click.option("--profile", type=click.Path(), help="Write distance, elevation and speed to this CSV file.")
@click.option("--import", "target", type=click.Path(), help="FILE is a measured CSV; write this course file.")
@quantity_option("--speed", "speed", "Riding speed of an imported course.", default="6 m/s")
@quantity_option("--smoothing", "length", "Longer waves belong to the mean line.", default="20 m")
@json_option
def command(
    file: str, profile: str | None, target: str | None, speed: Measure, smoothing: Measure, as_json: bool
) -> None:
    """Say what the course in FILE is like: length, time, roughness, what lies on it."""
    from forkwright.ride.answers import course_answer
    from forkwright.ride.course_file import find_course

    if target is not None:
        write_course(file, target, speed, smoothing)
        file = target
    course = find_course(file)
    if profile is not None:
        write_profile(course, profile)
    answer = course_answer(course)
    if as_json:
        print_json(answer)
        return
    _describe(answer)
    print_warnings(course.warnings)


def write_course(measured: str, target: str, speed: Measure, smoothing: Measure) -> None:
    """Write a course file that rides over a measured profile lying beside it."""
    import json

    from forkwright.hardware.files import write_whole
    from forkwright.ride.profile import read_profile

    source, place = Path(measured), Path(target)
    read_profile(source, smoothing.si)
    if source.resolve().parent != place.resolve().parent:
        raise InputError(
            "the course file must be written beside its profile", key="--import", value=target,
            allowed=f"a file in {source.resolve().parent}",
        )  # fmt: skip
    if place.exists():
        raise InputError("there is such a file already", key="--import", value=target)
    lines = (
        "format = 1",
        'kind = "course"',
        f"name = {json.dumps(source.stem)}",
        "",
        "[profile]",
        f"file = {json.dumps(source.name)}",
        f"smoothing = {json.dumps(smoothing.text)}",
        "",
        "[[speed]]",
        'at = "0 m"',
        f"speed = {json.dumps(speed.text)}",
    )
    write_whole(place, "\n".join(lines) + "\n")


def write_profile(course: Course, path: str) -> None:
    """Write a course's lines to a CSV file."""
    import polars as pl

    frame = pl.DataFrame(
        {"distance_m": course.distance, "elevation_m": course.elevation, "speed_m_s": course.speed}
    )
    try:
        frame.write_csv(path)
    except OSError as fault:
        raise InputError(f"cannot be written: {fault.strerror or fault}", file=path) from None


def _describe(answer: dict[str, Any]) -> None:
    click.echo(f"{answer['course']}: {answer['length_m']:.0f} m in {answer['duration_s']:.1f} s")
    click.echo(
        f"rms height {answer['rms_height_m'] * 1e3:.0f} mm, fitted density at 0.1 cycle/m "
        f"{answer['roughness_density_m3'] * 1e6:.0f}e-6 m3, waviness {answer['waviness']:.1f}"
    )
    for place, kind in zip(answer["event_m"], answer["event_kind"], strict=True):
        click.echo(f"  {place:7.1f} m  {kind.replace('_', ' ')}")
