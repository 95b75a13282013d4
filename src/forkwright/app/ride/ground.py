"""Courses for the Ride page: a demonstration stage, a course file, a measured profile, or the last two."""

from __future__ import annotations

import dataclasses
import hashlib
import re
import tempfile
import threading
from collections import OrderedDict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.tuning.courses import CourseChoice, chosen
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.ride.course import Course

LARGEST_CSV = 8_000_000
"""Letters in a measured profile that the page takes; the command line takes eight times as many."""

LONGEST_RIDE = 1200.0
"""s; the page keeps both rides in memory at every step, the command line rides up to an hour."""

LONGEST_NAME = 200  # bytes
KEPT = 3
LARGEST_KEPT = 500_000  # points of a course that is remembered, some 20 MB
_PLAIN_NAME = re.compile(r"(?!\.{1,2}$)[^/\\\x00-\x1f]+")


class MeasuredProfile(BaseModel):
    """A measured elevation profile: CSV text with `distance_m` and `elevation_m`.

    `speed` and `smoothing` serve only where no course file says them.
    """

    model_config = ConfigDict(extra="forbid")

    csv: Annotated[str, Field(max_length=LARGEST_CSV)]
    file: Annotated[str, Field(min_length=1, max_length=120)]
    speed: Annotated[str, Field(max_length=40)] = "6 m/s"
    smoothing: Annotated[str, Field(max_length=40)] = "20 m"


class Ground(CourseChoice):
    """A course: a demonstration stage, a course file, a measured profile, or a course file that names one."""

    profile: MeasuredProfile | None = None


class Grounds:
    """Reads courses and remembers the last few by their content, so that a moved slider reads none again."""

    def __init__(self) -> None:
        self._known: OrderedDict[str, Course] = OrderedDict()
        self._lock = threading.Lock()

    def course(self, choice: Ground) -> Course:
        """Return a course.

        Raises
        ------
        InputError
            In the words of the command line, naming the file as the browser named it; also for a course that
            takes longer than the page rides.
        """
        key = hashlib.sha256(choice.model_dump_json().encode()).hexdigest()
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key]
        found = read_ground(choice)
        if found.distance.size > LARGEST_KEPT:
            return found
        with self._lock:
            self._known[key] = found
            while len(self._known) > KEPT:
                self._known.popitem(last=False)
        return found


def read_ground(choice: Ground) -> Course:
    """Return the course of a choice (see `Grounds.course`)."""
    course = chosen(choice) if choice.profile is None else _profiled(choice, choice.profile)
    if course.duration > LONGEST_RIDE:
        raise InputError(
            "the course takes too long to ride on this page",
            key="length",
            value=f"{course.duration:.0f} s",
            allowed=f"up to {LONGEST_RIDE:.0f} s; `forkwright ride` takes up to an hour",
        )
    return course


def ground_account(course: Course) -> dict[str, Any]:
    """Return what is told of a course before it is ridden, as `forkwright course --json` tells it."""
    from forkwright.ride.answers import course_answer

    return course_answer(course)


def _profiled(choice: Ground, profile: MeasuredProfile) -> Course:
    """Read a course over a measured profile; the profile lies beside the course file while it is read."""
    from forkwright.ride.course_file import read_course

    if not _PLAIN_NAME.fullmatch(profile.file) or len(profile.file.encode()) > LONGEST_NAME:
        raise InputError(
            "a profile is named by a plain file name without a folder",
            key="profile.file",
            value=profile.file,
            allowed=f"letters, digits and marks, up to {LONGEST_NAME} bytes",
        )
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / profile.file).write_text(profile.csv.removeprefix("\ufeff"), encoding="utf-8")
        try:
            if choice.toml:
                return read_course(choice.toml, choice.name, folder)
            return _over(profile, folder)
        except InputError as fault:
            file = Path(fault.file).name if fault.file else choice.name
            words = fault.message.replace(f"{folder}/", "")
            raise dataclasses.replace(fault, message=words, file=file) from None


def _over(profile: MeasuredProfile, folder: Path) -> Course:
    """Lay out the course that `forkwright course --import` writes for a profile."""
    from forkwright.hardware.files import validated
    from forkwright.ride.course_layout import laid_out
    from forkwright.ride.course_plan import CourseFile

    plan = {
        "format": 1,
        "kind": "course",
        "name": Path(profile.file).stem,
        "profile": {"file": profile.file, "smoothing": profile.smoothing},
        "speed": [{"at": "0 m", "speed": profile.speed}],
    }
    return laid_out(validated(CourseFile, plan, file=profile.file), folder)
