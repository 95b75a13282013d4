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
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics import Unphysical
from forkwright.ride.build import ride_parameters
from forkwright.ride.course import Course, Road
from forkwright.ride.damping import bench_table
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.scores import Scores
from forkwright.ride.settings_table import SettingsTable
from forkwright.ride.simulate import ride_notes, scored
from forkwright.ride.step import step_on_ladder
from forkwright.ride.wheel_road import road_with_slopes, with_weight_shift
from forkwright.units import InputError

MOST_ROADS = 12
"""Roads a process keeps, newest first; each is some megabytes. Never fewer than three a course."""

MOST_DAMPERS = 4000
"""Damping tables a process keeps, newest first; each is under a kilobyte."""

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


@dataclass(frozen=True)
class _KeptRoad:
    """A road with the weight shift (N) of the last bike that rode it, and the slope's sine for the next.

    The shift follows from the masses of bike and rider: another rider on the same trail has another one.
    """

    road: Road
    slope_shift: float
    slope_sine: NDArray[np.float64]

    def for_weight(self, slope_shift: float) -> _KeptRoad:
        """Return the road for another bike's weight."""
        if slope_shift == self.slope_shift:
            return self
        level = self.road.values.copy()
        level[:, 3] = self.slope_sine
        road = with_weight_shift(dataclasses.replace(self.road, values=level), slope_shift)
        return _KeptRoad(road, slope_shift, self.slope_sine)


class Roads:
    """The roads and damping tables a process has made, kept for the next setting that needs the same."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[int, float], _KeptRoad] = OrderedDict()
        self._dampers: OrderedDict[tuple[int | None, ...], tuple[DampingTable, tuple[str, ...]]] = (
            OrderedDict()
        )

    def get(self, task: SweepTask, course: int, p: RideParameters) -> Road:
        """Return a road, made now or before."""
        _, options = task.day(course)
        key = course, options.step or step_on_ladder(p)
        if key not in self._kept:
            sloping = road_with_slopes(task.courses[course], p, options)
            self._kept[key] = _KeptRoad(sloping, 1.0, sloping.values[:, 3].copy())
            if len(self._kept) > max(MOST_ROADS, 3 * len(task.courses)):
                self._kept.popitem(last=False)
        self._kept[key] = self._kept[key].for_weight(p.slope_shift)
        self._kept.move_to_end(key)
        return self._kept[key].road

    def beside(self) -> Roads:
        """Return the same roads for a unit whose damper is another one."""
        other = Roads()
        other._kept = self._kept
        return other

    def damping(self, task: SweepTask, setting: Setting, day: int) -> tuple[DampingTable, tuple[str, ...]]:
        """Return the bench's damping table at a setting's clicks, which no other entry touches."""
        conditions, options = task.day(day)
        key = setting.low_speed, setting.high_speed, setting.rebound, day
        if key not in self._dampers:
            self._dampers[key] = bench_table(
                task.unit, setting, conditions, options.oil_temperature, options.stiffening
            )
            if len(self._dampers) > MOST_DAMPERS:
                self._dampers.popitem(last=False)
        self._dampers.move_to_end(key)
        return self._dampers[key]


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
        built: dict[int, tuple[RideParameters, tuple[str, ...]] | str] = {}
        for place, course in enumerate(task.courses):
            which.append(row)
            course_names.append(course.name)
            day = _first_of_its_day(task, place)
            if day not in built:
                built[day] = _built(task, table.setting(task.unit.setting, row), day, roads)
            records.append(_record(task, built[day], place, roads))
    names = list(dict.fromkeys(name for record in records for name in record))
    columns = {name: [record.get(name) for record in records] for name in names}
    return Rows(np.array(which, dtype=np.int64), course_names, columns)


def score_other(task: SweepTask, other: Other, roads: Roads) -> Rows:
    """Ride some settings of another unit, rider and bike over a sweep's courses; as `score_portion`."""
    unit, rider, bike, values = other
    changed = dataclasses.replace(task, unit=unit, rider=rider, bike=bike)
    return score_portion(changed, values, roads.beside())


def _first_of_its_day(task: SweepTask, course: int) -> int:
    """Return the first course that is ridden on the same day (days are the same where the object is)."""
    if not task.days:
        return 0
    return next(place for place, day in enumerate(task.days) if day is task.days[course])


def _built(
    task: SweepTask, setting: Setting, day: int, roads: Roads
) -> tuple[RideParameters, tuple[str, ...]] | str:
    """Return a setting's parameters and warnings on one day, or why there are none."""
    conditions, options = task.day(day)
    notes: tuple[str, ...] = ()
    try:
        if task.unit.damper is not None and options.damping is None and not options.oil_chambers:
            table, notes = roads.damping(task, setting, day)
            options = dataclasses.replace(options, damping=table)
        p, warnings = ride_parameters(task.unit, setting, task.rider, task.bike, conditions, options)
    except (Unphysical, InputError) as fault:
        return str(fault)
    return p, (*warnings, *notes)


def _record(
    task: SweepTask, built: tuple[RideParameters, tuple[str, ...]] | str, place: int, roads: Roads
) -> dict[str, Any]:
    """Return the scores of one ride, or the reason why there are none."""
    if isinstance(built, str):
        return _empty() | {"fault": built}
    p, warnings = built
    try:
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
