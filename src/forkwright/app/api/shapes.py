"""The published shapes of what every page asks: forms, files, jobs, courses."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import RootModel

from forkwright.app.answer_shapes import Shape
from forkwright.app.jobs import State


class HealthAnswer(Shape):
    """A sign of life."""

    status: Literal["up"]


class ProblemAnswer(Shape):
    """What is wrong: the command line's whole sentence, and its parts as far as there are any."""

    error: str
    message: str | None = None
    file: str | None = None
    line: int | None = None
    key: str | None = None
    value: str | None = None
    allowed: str | None = None


class FieldAnswer(Shape):
    """One entry of a file as a field of a form."""

    path: str
    label: str
    kind: Literal["quantity", "count", "tick", "choice", "text", "list"]
    value: Any
    origin: str
    note: str
    required: bool
    allowed: str | None
    options: list[str]
    example: str | None = None


class SectionAnswer(Shape):
    """One table of a file."""

    path: str
    title: str
    present: bool
    optional: bool
    about: str
    fields: list[FieldAnswer]


class FormAnswer(Shape):
    """A file's entries as a form, and everything that is wrong with them."""

    kind: str
    name: str
    sections: list[SectionAnswer]
    problems: list[ProblemAnswer]


class FileAnswer(Shape):
    """A sound file."""

    name: str
    kind: str
    toml: str


class DownloadAnswer(Shape):
    """A file for the page to offer, and what to know about it; `type` is its media type."""

    name: str
    type: str
    base64: str
    warnings: list[str]


class JobAnswer(Shape):
    """How far a job is; `left_s` is an estimate from the share done so far."""

    key: str
    title: str
    state: State
    share: float
    words: str
    left_s: float | None
    failure: ProblemAnswer | None


class CourseAnswer(Shape):
    """What is told of a course before it is ridden."""

    name: str
    length_m: float
    duration_s: float
    events: int
    warnings: list[str]


class DemoCourse(CourseAnswer):
    """A demonstration stage, and the name it is chosen by."""

    demo: str


class CoursesAnswer(Shape):
    """The demonstration stages."""

    courses: list[DemoCourse]


class JobTaken(Shape):
    """The key of a job that was handed in."""

    job: str


class JobResult(RootModel[dict[str, Any]]):
    """What a job found: what the command of the same name gives with ``--json``, and more for its page.

    A ride and a sweep have calls of their own, which tell every key.
    """


class JobsAnswer(Shape):
    """A browser's jobs, the latest first."""

    jobs: list[JobAnswer]
