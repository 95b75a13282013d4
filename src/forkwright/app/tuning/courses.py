"""Courses as the pages name them: a demonstration stage by its name, or a file that the browser has read."""

from __future__ import annotations

from importlib import resources
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.ride.course import Course

LONGEST = 200_000
"""Letters in a course file that a page may send."""


class CourseChoice(BaseModel):
    """One course: `demo` names a demonstration stage, `toml` is a file's text; exactly one of them."""

    model_config = ConfigDict(extra="forbid")

    demo: Annotated[str, Field(max_length=100)] = ""
    toml: Annotated[str, Field(max_length=LONGEST)] = ""
    name: Annotated[str, Field(max_length=200)] = "course"


def chosen(choice: CourseChoice) -> Course:
    """Return a course.

    Raises
    ------
    InputError
        For a file that is no sound course, or a name that is none of the demonstration stages.
    """
    from forkwright.ride.course_file import read_course

    if choice.toml:
        return read_course(choice.toml, choice.name)
    known = demo_texts()
    if choice.demo not in known:
        raise InputError("no such course", key="course", value=choice.demo, allowed=", ".join(known))
    return read_course(known[choice.demo], choice.demo)


def demo_texts() -> dict[str, str]:
    """Return the demonstration stages' files by their names, in order."""
    folder = resources.files("forkwright") / "demo" / "courses"
    files = sorted(
        (entry for entry in folder.iterdir() if entry.name.endswith(".toml")), key=lambda e: e.name
    )
    return {entry.name.removesuffix(".toml"): entry.read_text(encoding="utf-8") for entry in files}


def course_account(course: Course) -> dict[str, Any]:
    """Return what is told of a course before it is ridden."""
    return {
        "name": course.name,
        "length_m": course.length,
        "duration_s": course.duration,
        "events": len(course.marks),
        "warnings": list(course.warnings),
    }
