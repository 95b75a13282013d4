"""One portion of a sweep: a few settings over all courses, scored in whichever process it lands."""

from __future__ import annotations

import dataclasses
import hashlib
from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics import Unphysical
from forkwright.ride.build import ride_parameters
from forkwright.ride.course import Course, Road
from forkwright.ride.options import RideOptions
from forkwright.ride.scores import Scores
from forkwright.ride.settings_table import SettingsTable
from forkwright.ride.simulate import ride_notes, road_for, scored, step_on_ladder
from forkwright.units import InputError

MOST_ROADS = 12
"""Roads a process keeps, newest first; each is some megabytes."""


@dataclass(frozen=True)
class SweepTask:
    """Everything about a sweep that is the same for every setting; it travels to every process once."""

    unit: Unit
    courses: tuple[Course, ...]
    names: tuple[str, ...]
    rider: Rider
    bike: Bike
    conditions: Conditions
    options: RideOptions

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


class Roads:
    """The roads a process has made, kept for the next setting that needs the same step."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[int, float], Road] = OrderedDict()

    def get(self, task: SweepTask, course: int, p: Any) -> Road:
        """Return a road, made now or before."""
        key = course, task.options.step or step_on_ladder(p)
        if key not in self._kept:
            self._kept[key] = road_for(task.courses[course], p, task.options)
            if len(self._kept) > max(MOST_ROADS, len(task.courses)):
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return self._kept[key]


def score_portion(task: SweepTask, values: NDArray[np.float64], roads: Roads | None = None) -> Rows:
    """Ride some settings over all courses of a sweep.

    Parameters
    ----------
    task : SweepTask
    values : array
        Settings, SI, shape (k, len(task.names)).
    roads : Roads, optional
        Those of this process.

    Returns
    -------
    Rows
        One row per setting and course.
    """
    roads = Roads() if roads is None else roads
    table = SettingsTable(task.names, values)
    which, course_names, records = [], [], []
    for row in range(len(table)):
        for place, course in enumerate(task.courses):
            which.append(row)
            course_names.append(course.name)
            records.append(_record(task, table, row, place, roads))
    names = list(dict.fromkeys(name for record in records for name in record))
    columns = {name: [record.get(name) for record in records] for name in names}
    return Rows(np.array(which, dtype=np.int64), course_names, columns)


def _record(task: SweepTask, table: SettingsTable, row: int, place: int, roads: Roads) -> dict[str, Any]:
    """Return the scores of one ride, or the reason why there are none."""
    try:
        setting = table.setting(task.unit.setting, row)
        p, warnings = ride_parameters(
            task.unit, setting, task.rider, task.bike, task.conditions, task.options
        )
        scores, audit, _ = scored(p, roads.get(task, place, p))
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
