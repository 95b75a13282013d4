"""Settings for a rider, a bike, courses and wishes: with reasons, the trade-off, neighbours and a test order."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.loads import fork_load
from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting
from forkwright.physics import Unphysical
from forkwright.physics.values import Array
from forkwright.ride.course import Course
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool
from forkwright.ride.portion import SweepTask
from forkwright.ride.settings_table import SettingsTable
from forkwright.tune.adjusters import Adjuster, adjusters_of
from forkwright.tune.aims import Judged, cost, front, weights_of
from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.search import SettingSearch, around, blends, spread

SPREAD = 160  # settings looked at first
ROUNDS = (0.12, 0.05, 0.02)  # neighbourhoods, shares of each adjuster's range
CENTRES = 8


@dataclass(frozen=True)
class Option:
    """One setting with its aims (see `aims.AIMS`): grip, comfort, support, margin."""

    setting: Setting
    aims: Array  # shape (4,)
    by_course: Array  # shape (courses, 4)
    metal: float  # hard bottom-outs over all courses
    cost: float  # judged by the wishes, lower is better


@dataclass(frozen=True)
class Step:
    """One adjuster moved by one step from the recommendation: what changes."""

    adjuster: str
    words: str  # the new value
    step: int  # +1 or -1 in its order of values
    change: Array  # of the aims, after minus before, shape (4,)
    cost: float  # change of the judged cost; above zero is worse
    allowed: bool  # false where the step breaks the bottom-out limit


@dataclass(frozen=True)
class Recommendation:
    """The setting, what it was weighed against, and how to test it."""

    best: Option
    now: Option | None  # the setting in the file, if it can be ridden
    trade_off: tuple[Option, ...]  # settings that no other beats in every aim, by cost
    steps: tuple[Step, ...]
    order: tuple[str, ...]  # adjusters to try on the trail, the one that matters most first
    adjusters: tuple[Adjuster, ...]
    weights: Array
    courses: tuple[str, ...]
    deepest_allowed: float  # share of the travel
    rides: int
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
    progress: Callable[[float, str], None] | None = None,
) -> Recommendation:
    """Return the setting to start with, for a rider on a bike over courses.

    Parameters
    ----------
    unit, rider, bike : Unit, Rider, Bike
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
        Processes; by default one a core.
    seed : int
        Of the first spread.
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
        For an unknown wish, no course, or a setting the unit must not be given.

    Notes
    -----
    Own method: a Latin hypercube on whole steps, then neighbourhoods of the best and of the trade-off front,
    then single steps until no single step is better. It is exact in single steps, not proved best of all.
    """
    weights = weights_of(wishes)
    load = fork_load(rider, bike)
    step = pump_step or (bike.pump_step.si if bike.pump_step is not None else PUMP_STEP)
    adjusters = adjusters_of(
        unit, unit.setting, float(load.axial), side_load=float(load.side), conditions=conditions,
        pump_step=step, secondary_step=secondary_step,
    )  # fmt: skip
    task = SweepTask(
        unit, tuple(courses), tuple(a.name for a in adjusters), rider, bike, conditions or Conditions(),
        options or RideOptions(),
    )  # fmt: skip
    allowed = 1.0 - margin
    with RidePool(task, workers or os.cpu_count() or 1) as pool:
        search = SettingSearch(pool, adjusters, unit.travel.si)
        now = _as_steps(search, adjusters, unit.setting)
        best = _searched(search, weights, allowed, now, seed, progress)
        judged = _judged(search)
        if not _fits(judged, allowed)[best]:
            raise Unphysical(what_stops_it(unit, task, adjusters, allowed, judged))
        steps = _steps(search, adjusters, best, weights, allowed)
        return _told(unit, search, adjusters, weights, allowed, best, now, steps, task)


def _searched(
    search: SettingSearch,
    weights: Array,
    allowed: float,
    now: Array,
    seed: int,
    progress: Callable[[float, str], None] | None,
) -> int:
    """Return the row of the best setting found."""
    tell = progress or (lambda _share, _words: None)
    sizes = search.sizes

    def look(wanted: Array, begin: float, end: float, words: str) -> None:
        total = max(1, len(wanted))
        search.look(wanted, lambda done: tell(begin + (end - begin) * min(1.0, done / total), words))

    tell(0.0, "starting")
    look(np.vstack((now, spread(sizes, SPREAD, seed))), 0.0, 0.5, "looking around")
    for number, share in enumerate(ROUNDS):
        begin = 0.5 + 0.12 * number
        good = _good(search, weights, allowed)
        wanted = np.vstack(
            (
                around(good[: CENTRES // (number + 1) + 1], sizes, share),
                blends(good, sizes, 16, seed + number),
            )
        )
        look(wanted, begin, begin + 0.12, "closing in")
    best = _best(search, weights, allowed)
    for turn in range(12):
        look(
            around(search.steps[best][np.newaxis], sizes, 0.0),
            0.86 + 0.01 * turn,
            0.87 + 0.01 * turn,
            "single steps",
        )
        further = _best(search, weights, allowed)
        if further == best:
            break
        best = further
    tell(1.0, "done")
    return best


def _costs(search: SettingSearch, weights: Array, allowed: float) -> Array:
    judged = _judged(search)
    on_front = front(judged.aims)
    edge = judged.aims[on_front]
    costs = cost(judged.aims, weights, edge.min(axis=0), edge.max(axis=0))
    # A setting that uses more than the allowed travel, or hits metal, ranks behind every one that does not.
    over = np.maximum(judged.deepest - allowed, 0.0)
    return np.where(_fits(judged, allowed), costs, 1e3 + 1e3 * over + judged.metal)


def _fits(judged: Judged, allowed: float) -> Array:
    return (judged.deepest <= allowed + 1e-9) & (judged.metal == 0.0) & np.isfinite(judged.aims).all(axis=1)


def _good(search: SettingSearch, weights: Array, allowed: float) -> Array:
    """The best settings so far and the front's ends, best first, as step numbers."""
    costs = _costs(search, weights, allowed)
    order = list(np.argsort(costs)[:CENTRES])
    judged = _judged(search)
    fit = np.flatnonzero(_fits(judged, allowed))
    order += [int(fit[np.argmin(judged.aims[fit, aim])]) for aim in range(4)] if fit.size else []
    return search.steps[list(dict.fromkeys(order))]


def _best(search: SettingSearch, weights: Array, allowed: float) -> int:
    return int(np.argmin(_costs(search, weights, allowed)))


def _judged(search: SettingSearch) -> Judged:
    assert search.judged is not None
    return search.judged


def _as_steps(search: SettingSearch, adjusters: Sequence[Adjuster], setting: Setting) -> Array:
    """The unit's own setting on the nearest steps (an adjuster that is not set stands in its middle)."""
    steps = []
    for adjuster in adjusters:
        value = getattr(setting, adjuster.name)
        number = value.si if hasattr(value, "si") else value
        steps.append(
            adjuster.values.size // 2 if number is None else search.nearest_step(adjuster.name, float(number))
        )
    return np.array([steps], np.int64)


def _steps(
    search: SettingSearch, adjusters: Sequence[Adjuster], best: int, weights: Array, allowed: float
) -> tuple[Step, ...]:
    found = []
    home = search.steps[best]
    costs = _costs(search, weights, allowed)
    for column, adjuster in enumerate(adjusters):
        for direction in (-1, 1):
            other = home.copy()
            other[column] += direction
            if not 0 <= other[column] < adjuster.values.size:
                continue
            row = int(search.look(other[np.newaxis])[0])
            judged = _judged(search)
            found.append(
                Step(
                    adjuster=adjuster.name,
                    words=adjuster.words(float(adjuster.values[other[column]])),
                    step=direction,
                    change=judged.aims[row] - judged.aims[best],
                    cost=float(_costs(search, weights, allowed)[row] - costs[best]),
                    allowed=bool(_fits(judged, allowed)[row]),
                )
            )
    return tuple(found)


def _told(
    unit: Unit,
    search: SettingSearch,
    adjusters: Sequence[Adjuster],
    weights: Array,
    allowed: float,
    best: int,
    now: Array,
    steps: tuple[Step, ...],
    task: SweepTask,
) -> Recommendation:
    judged = _judged(search)
    costs = _costs(search, weights, allowed)
    table = SettingsTable(task.names, judged.values)

    def option(row: int) -> Option:
        setting = table.setting(unit.setting, row)
        check_setting(unit, setting)
        return Option(
            setting, judged.aims[row], judged.by_course[row], float(judged.metal[row]), float(costs[row])
        )

    fit = np.flatnonzero(_fits(judged, allowed))
    kept = fit[front(judged.aims[fit])]
    trade_off = tuple(option(int(row)) for row in kept[np.argsort(costs[kept])][:40])
    today = int(search.look(now)[0])
    names = [adjuster.name for adjuster in adjusters]
    effect = {
        name: max((abs(s.cost) for s in steps if s.adjuster == name and s.allowed), default=0.0)
        for name in names
    }
    notes = tuple(dict.fromkeys(note for course in task.courses for note in course.warnings))
    return Recommendation(
        best=option(best),
        now=option(today) if not judged.faults[today] else None,
        trade_off=trade_off,
        steps=steps,
        order=tuple(sorted(names, key=lambda name: -effect[name])),
        adjusters=tuple(adjusters),
        weights=weights,
        courses=tuple(course.name for course in task.courses),
        deepest_allowed=allowed,
        rides=search.rides,
        warnings=notes,
    )
