"""One portion of a sweep: a few settings over all courses, scored in whichever process it lands."""

from __future__ import annotations

import dataclasses
import hashlib
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics import Unphysical
from forkwright.ride.build import ride_parameters
from forkwright.ride.course import Course
from forkwright.ride.kept import Kept
from forkwright.ride.options import RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.scores import Scores
from forkwright.ride.settings_table import SettingsTable
from forkwright.ride.simulate import ride_notes, scored
from forkwright.units import InputError

Day = tuple[Conditions, RideOptions]

Other = tuple[Unit, Rider, Bike, NDArray[np.float64]]
"""Who is ridden instead, and settings of it, SI, shape (k, names)."""


@dataclass(frozen=True)
class SweepTask:
    """Everything about a sweep that is the same for every setting; it travels to every process once.

    `days` gives conditions and options of each course where they differ from course to course; courses of one
    day share one object. `course_shares` says how much each course counts when settings are judged, adding up
    to 1; alike without them. It changes no ride.
    """

    unit: Unit
    courses: tuple[Course, ...]
    names: tuple[str, ...]
    rider: Rider
    bike: Bike
    conditions: Conditions
    options: RideOptions
    days: tuple[Day, ...] = ()
    course_shares: tuple[float, ...] = ()

    def day(self, course: int) -> Day:
        """Return the conditions and options of a course."""
        return self.days[course] if self.days else (self.conditions, self.options)

    @cached_property
    def fingerprint(self) -> str:
        """Short hash of all of it."""
        digest = hashlib.sha256()
        for text in (
            self.unit.fingerprint,
            *(course.fingerprint for course in self.courses),
            *self.names,
            self.rider.model_dump_json(),
            self.bike.model_dump_json(),
            repr(self.conditions),
            _as_text(self.options),
            *(f"{conditions!r} {_as_text(options)}" for conditions, options in self.days),
        ):
            digest.update(text.encode() + b"\0")
        return digest.hexdigest()[:16]


@dataclass(frozen=True)
class Rows:
    """Scores of a portion: which of its settings and which course each row belongs to, and score columns.

    A ride that had to be refused has its reason in the column `fault`, and not-a-number scores stay empty.
    """

    setting: NDArray[np.int64]
    course: list[str]
    scores: dict[str, list[Any]]


def score_portion(task: SweepTask, values: NDArray[np.float64], kept: Kept | None = None) -> Rows:
    """Ride some settings over all courses of a sweep.

    Parameters
    ----------
    task : SweepTask
    values : array
        Settings, SI, shape (k, len(task.names)).
    kept : Kept, optional
        What this process has made before.

    Returns
    -------
    Rows
        One row per setting and course.
    """
    kept = Kept() if kept is None else kept
    table = SettingsTable(task.names, values)
    which, course_names, records = [], [], []
    for row in range(len(table)):
        built: dict[int, tuple[RideParameters, tuple[str, ...]] | str] = {}
        for place, course in enumerate(task.courses):
            which.append(row)
            course_names.append(course.name)
            day = _first_of_its_day(task, place)
            if day not in built:
                built[day] = _built(task, table.setting(task.unit.setting, row), day, kept)
            records.append(_record(task, built[day], place, kept))
    names = list(dict.fromkeys(name for record in records for name in record))
    columns = {name: [record.get(name) for record in records] for name in names}
    return Rows(np.array(which, dtype=np.int64), course_names, columns)


def score_other(task: SweepTask, other: Other, kept: Kept) -> Rows:
    """Ride some settings of another unit, rider and bike over a sweep's courses; as `score_portion`."""
    unit, rider, bike, values = other
    changed = dataclasses.replace(task, unit=unit, rider=rider, bike=bike)
    return score_portion(changed, values, kept.with_another_damper())


def _first_of_its_day(task: SweepTask, course: int) -> int:
    """Return the first course that is ridden on the same day (days are the same where the object is)."""
    if not task.days:
        return 0
    return next(place for place, day in enumerate(task.days) if day is task.days[course])


def _built(
    task: SweepTask, setting: Setting, day: int, kept: Kept
) -> tuple[RideParameters, tuple[str, ...]] | str:
    """Return a setting's parameters and warnings on one day, or why there are none."""
    conditions, options = task.day(day)
    notes: tuple[str, ...] = ()
    try:
        if task.unit.damper is not None and options.damping is None and not options.oil_chambers:
            table, notes = kept.damping(task.unit, setting, day, conditions, options)
            options = dataclasses.replace(options, damping=table)
        p, warnings = ride_parameters(task.unit, setting, task.rider, task.bike, conditions, options)
    except (Unphysical, InputError) as fault:
        return str(fault)
    return p, (*warnings, *notes)


def _record(
    task: SweepTask, built: tuple[RideParameters, tuple[str, ...]] | str, place: int, kept: Kept
) -> dict[str, Any]:
    """Return the scores of one ride, or the reason why there are none."""
    if isinstance(built, str):
        return _empty() | {"fault": built}
    p, warnings = built
    _, options = task.day(place)
    try:
        road = kept.road(place, task.courses, p, options)
        scores, audit, _ = scored(p, road)
    except (Unphysical, InputError) as fault:
        return _empty() | {"fault": str(fault)}
    return {
        **scores.numbers(),
        "travel_share": scores.travel_share.tolist(),
        "speed_share": scores.speed_share.tolist(),
        "energy_imbalance": audit.imbalance,
        "warnings": "; ".join((*warnings, *ride_notes(p, scores))),
        "fault": "",
    }


def _empty() -> dict[str, Any]:
    names = [item.name for item in dataclasses.fields(Scores)]
    return dict.fromkeys((*names, "energy_imbalance", "warnings"))


def _as_text(options: RideOptions) -> str:
    """Return options as text in which arrays are written out in full."""

    def plain(value: Any) -> Any:
        if isinstance(value, np.ndarray):
            return value.tolist()
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            return {item.name: plain(getattr(value, item.name)) for item in dataclasses.fields(value)}
        return value

    return repr(plain(options))
