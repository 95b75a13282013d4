"""Settings for a rider, a bike, courses and wishes: with the trade-off, neighbours and a test order."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.standing import standing_load
from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting
from forkwright.physics import Unphysical
from forkwright.physics.values import Array
from forkwright.ride.course import Course
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool, available_cores
from forkwright.ride.portion import SweepTask
from forkwright.ride.settings_table import SettingsTable
from forkwright.tune.adjusters import Adjuster, adjusters_of
from forkwright.tune.aims import weights_of
from forkwright.tune.goal import Goal, deepest_for
from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.search import Progress, SearchPlan, SettingSearch, Steps, find_best, nearest_step
from forkwright.units import InputError

REAR_HANDS = (
    "for a shock, what the hands feel stands for the bike's acceleration over the rear wheel, weighted "
    "alike; chain and brake do not act on the shock here"
)

MOST_TOLD = 40
"""Settings of the trade-off that are told, the best by the wishes first."""


@dataclass(frozen=True)
class Option:
    """One setting with its aims (see `aims.AIMS`): grip, comfort, support, margin."""

    setting: Setting
    aims: Array  # shape (4,)
    by_course: Array  # shape (courses, 4)
    metal: float  # hard bottom-outs over all courses
    cost: float  # judged by the wishes, lower is better


@dataclass(frozen=True)
class StepChange:
    """One adjuster moved by one step from the recommendation: what changes.

    `step` is +1 or -1 in the adjuster's own order (pressure and spacers up; clicks from fully closed, so +1
    opens); `value` the SI value after it; `change` of the aims, after minus before, shape (4,); `cost` the
    change of the judged cost, above zero is worse; `allowed` false where the step breaks the limits.
    """

    adjuster: str
    step: int
    value: float
    change: Array
    cost: float
    allowed: bool


@dataclass(frozen=True)
class Effort:
    """What the search took: rides simulated, seconds they last on the trail, and seconds of waiting."""

    settings: int
    rides: int
    ridden: float  # s
    waited: float  # s
    workers: int


@dataclass(frozen=True)
class Recommendation:
    """The setting, what it was weighed against, and how to test it."""

    unit: Unit
    best: Option
    now: Option | None  # the setting in the file on the nearest steps searched, if it can be ridden
    trade_off: tuple[Option, ...]  # allowed settings that no other beats in every aim, by cost
    steps: tuple[StepChange, ...]
    order: tuple[str, ...]  # adjusters to try on the trail, the one that matters most first
    adjusters: tuple[Adjuster, ...]
    wishes: tuple[str, ...]
    weights: Array
    courses: tuple[str, ...]
    deepest_allowed: float  # share of the travel
    effort: Effort
    warnings: tuple[str, ...]


def recommend(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    courses: Sequence[Course],
    *,
    wishes: Sequence[str] = (),
    margin: float = 0.0,
    conditions: Conditions | None = None,
    options: RideOptions | None = None,
    pump_step: float | None = None,
    secondary_step: float = SECONDARY_STEP,
    workers: int | None = None,
    seed: int = 1,
    plan: SearchPlan | None = None,
    progress: Progress | None = None,
) -> Recommendation:
    """Return the setting to start with, for a rider on a bike over courses.

    Parameters
    ----------
    unit, rider, bike : Unit, Rider, Bike
        A shock needs the bike's leverage curve.
    courses : sequence of Course
        Weighed alike.
    wishes : sequence of str
        Of `aims.WISHES`, for example "more support".
    margin : float
        Share of the travel that the biggest event must leave, 0 to 0.5; hard bottom-outs are never allowed.
    conditions, options
        As in `forkwright.ride.simulate.simulate`.
    pump_step, secondary_step : float
        Pa; the bike file's, or 1 psi and 0.5 psi.
    workers : int, optional
        Processes; by default one a core, 1 works in this one.
    seed : int
        Of the first spread.
    plan : SearchPlan, optional
        How much is looked at.
    progress : callable, optional
        Called with the share done (0 to 1) and what is being done; may raise to stop.

    Returns
    -------
    Recommendation

    Raises
    ------
    Unphysical
        If the hardware cannot do it; the reason names the part that stops it.
    InputError
        For an unknown wish, no course, a rear unit, or a setting the unit must not be given.

    Notes
    -----
    Own method: a Latin hypercube on whole steps, then neighbourhoods of the best and of those best in one
    aim, then walks to the best in each aim, and to the best by the wishes until neither a single step nor
    two at once are better. It is not proved best of all.
    """
    begun = time.monotonic()
    weights, deepest = weights_of(wishes), deepest_for(margin)
    check_courses(courses)
    adjusters = adjusters_for(unit, rider, bike, conditions, pump_step, secondary_step)
    task = SweepTask(
        unit, tuple(courses), tuple(a.name for a in adjusters), rider, bike, conditions or Conditions(),
        options or RideOptions(),
    )  # fmt: skip
    goal = Goal(weights, deepest)
    workers = workers or available_cores()
    with RidePool(task, workers) as pool:
        search = SettingSearch(pool, adjusters, unit.travel.si)
        now = as_steps(adjusters, unit.setting)
        best, settled = find_best(
            search,
            goal.costs,
            goal.ends(),
            now,
            plan or SearchPlan(),
            seed,
            progress or (lambda _share, _words: None),
        )
        if not goal.fits(search.judged)[best]:
            raise Unphysical(what_stops_it(unit, task, adjusters, deepest, search.judged))
        steps = steps_from(search, goal, best)
        today = int(search.look(now)[0])
    told = _Teller(unit, search, goal)
    ridden = sum(course.duration for course in courses) * len(search.steps)
    notes = [note for course in courses for note in course.warnings]
    if unit.kind == "shock":
        notes.append(REAR_HANDS)
    notes += quick_rebound(unit, [told.option(best).setting])
    if not settled:
        notes.append("the search stopped before single steps ceased to help: look again from this setting")
    return Recommendation(
        unit=unit,
        best=told.option(best),
        now=None if search.judged.faults[today] else told.option(today),
        trade_off=told.trade_off(),
        steps=steps,
        order=_order(adjusters, steps),
        adjusters=adjusters,
        wishes=tuple(wishes),
        weights=weights,
        courses=tuple(course.name for course in courses),
        deepest_allowed=deepest,
        effort=Effort(len(search.steps), search.rides, ridden, time.monotonic() - begun, workers),
        warnings=tuple(dict.fromkeys(notes)),
    )


def adjusters_for(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    conditions: Conditions | None,
    pump_step: float | None,
    secondary_step: float,
) -> tuple[Adjuster, ...]:
    """Return what can be set on a unit for a rider on a bike.

    Raises
    ------
    Unphysical
        If no pressure carries the rider.
    InputError
        If the unit has nothing to set.
    """
    load = standing_load(unit, rider, bike, conditions)
    step = pump_step or (bike.pump_step.si if bike.pump_step is not None else PUMP_STEP)
    found = adjusters_of(
        unit, unit.setting, load.axial, side_load=load.side, conditions=conditions,
        pump_step=step, secondary_step=secondary_step,
    )  # fmt: skip
    if not found:
        raise InputError("there is nothing to set: no air spring and no clicks", key="unit", value=unit.name)
    return found


def as_steps(adjusters: Sequence[Adjuster], setting: Setting) -> Steps:
    """Return a setting on the nearest steps, shape (1, adjusters); what is not set stands in its middle."""
    steps = []
    for adjuster in adjusters:
        value = getattr(setting, adjuster.name)
        number = getattr(value, "si", value)
        steps.append(adjuster.values.size // 2 if number is None else nearest_step(adjuster, float(number)))
    return np.array([steps], np.int64)


def steps_from(
    search: SettingSearch,
    goal: Goal,
    best: int,
    names: Sequence[str] | None = None,
    courses: Sequence[int] | None = None,
) -> tuple[StepChange, ...]:
    """Return what one step of every adjuster, either way, changes from a judged setting.

    Parameters
    ----------
    search : SettingSearch
    goal : Goal
    best : int
        Row of the setting.
    names : sequence of str, optional
        Adjusters to step; by default all.
    courses : sequence of int, optional
        Courses it is judged on; by default all.
    """
    moves = []
    for column, adjuster in enumerate(search.adjusters):
        for direction in (-1, 1):
            inside = 0 <= search.steps[best, column] + direction < adjuster.values.size
            if inside and (names is None or adjuster.name in names):
                other = search.steps[best].copy()
                other[column] += direction
                moves.append((column, direction, other))
    if not moves:
        return ()
    rows = search.look(np.array([other for *_, other in moves], np.int64))
    judged = search.judged if courses is None else search.judged.on(courses)
    aims, costs, fits = judged.aims, goal.costs(judged), goal.fits(judged)
    return tuple(
        StepChange(
            adjuster=search.adjusters[column].name,
            step=direction,
            value=float(search.adjusters[column].values[other[column]]),
            change=aims[row] - aims[best],
            cost=float(costs[row] - costs[best]),
            allowed=bool(fits[row]),
        )
        for (column, direction, other), row in zip(moves, rows, strict=True)
    )


class _Teller:
    """Turns rows of a search into options."""

    def __init__(self, unit: Unit, search: SettingSearch, goal: Goal) -> None:
        self._unit, self._goal, self._judged = unit, goal, search.judged
        self._table = SettingsTable(tuple(a.name for a in search.adjusters), search.judged.values)
        self._costs, self._aims = goal.costs(search.judged), search.judged.aims

    def option(self, row: int) -> Option:
        """Return one setting, checked against the unit's limits once more."""
        setting = self._table.setting(self._unit.setting, row)
        check_setting(self._unit, setting)
        return Option(
            setting, self._aims[row], self._judged.by_course[row], float(self._judged.metal[row]),
            float(self._costs[row]),
        )  # fmt: skip

    def trade_off(self) -> tuple[Option, ...]:
        """Return the allowed settings that no other beats in everything, the best by the wishes first."""
        edge = self._goal.edge(self._judged)
        return tuple(self.option(int(row)) for row in edge[np.argsort(self._costs[edge])][:MOST_TOLD])


def _order(adjusters: Sequence[Adjuster], steps: Sequence[StepChange]) -> tuple[str, ...]:
    """Adjusters by the larger effect of one allowed step on the cost."""
    effect = {
        adjuster.name: max(
            (abs(s.cost) for s in steps if s.adjuster == adjuster.name and s.allowed), default=0.0
        )
        for adjuster in adjusters
    }
    return tuple(sorted(effect, key=lambda name: -effect[name]))


def check_courses(courses: Sequence[Course]) -> None:
    """Refuse nothing to ride over."""
    if not courses:
        raise InputError("at least one course is needed", key="--course")


def quick_rebound(unit: Unit, settings: Sequence[Setting]) -> list[str]:
    """Return what has to be said where rebound stands in the most open third: what the rides cannot see."""
    most = unit.damper.click_ranges().get("rebound", 0) if unit.damper is not None else 0
    if most == 0 or all((setting.rebound or 0) <= 2 * most / 3 for setting in settings):
        return []
    return [
        "rebound is quick here: a simulated ride sees one wheel alone, not how a lip throws bike and rider; "
        "try it on small jumps first and close it if it kicks"
    ]
