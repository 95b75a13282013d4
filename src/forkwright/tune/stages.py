"""A race of several stages: one build for the day, and what to turn before each stage."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.hardware import Bike, Rider, Setting, Unit, check_setting
from forkwright.physics import Unphysical
from forkwright.physics.values import Array
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool, available_cores
from forkwright.ride.portion import SweepTask
from forkwright.ride.settings_table import SettingsTable
from forkwright.tune.adjusters import EXTERNAL, Adjuster, adjusters_for
from forkwright.tune.aims import weights_of
from forkwright.tune.goal import Goal, deepest_for
from forkwright.tune.nearest_spring import SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.recommend import check_courses, quick_rebound
from forkwright.tune.recommendation import Effort, StepChange
from forkwright.tune.search import Progress, SearchPlan, SettingSearch, find_best
from forkwright.tune.stage_days import Case, Stage, Weather, cases_of, laid_out
from forkwright.tune.stage_search import StageGoal, refine
from forkwright.tune.step_changes import as_steps, steps_from

PRESSURES = ("pressure", "floating")
USUAL_PLAN = SearchPlan(spread=96)
SEARCHED_FIRST = 0.6
"""Share of the progress that belongs to the search of one setting for all stages."""


@dataclass(frozen=True)
class StageSetting:
    """One stage: its setting, and how that compares with one setting for all.

    Parameters
    ----------
    stage : Stage
    setting : Setting
    aims : array
        Over all cases, shape (4,), as `aims.AIMS`.
    by_case : array
        Shape (cases, 4).
    cost : float
        Judged by the wishes on this stage, lower is better.
    shared_aims, shared_cost
        Those of the one setting for all; None where no single setting is allowed on every stage.
    regret : array
        Per case, how much cheaper the best other setting with the same build would have been, shape
        (cases,): zero where the choice is right whatever the day brings.
    steps : tuple of StepChange
        One step of what may be turned, judged on this stage.
    """

    stage: Stage
    setting: Setting
    aims: Array
    by_case: Array
    cost: float
    shared_aims: Array | None
    shared_cost: float | None
    regret: Array
    steps: tuple[StepChange, ...]


@dataclass(frozen=True)
class StagePlan:
    """The build for the day and the setting of every stage.

    `between` are the adjusters that may change between stages, `fixed` those that stay all day; `gain` is the
    sum over the stages of what the costs fall by against `one_for_all`.
    """

    unit: Unit
    build: Setting  # what stays all day is valid in it; the rest is that of the first stage
    stages: tuple[StageSetting, ...]
    one_for_all: Setting | None
    gain: float | None
    between: tuple[str, ...]
    fixed: tuple[str, ...]
    cases: tuple[Case, ...]
    wishes: tuple[str, ...]
    weights: Array
    deepest_allowed: float
    effort: Effort
    warnings: tuple[str, ...]


def stages(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    race: Sequence[Stage],
    *,
    wishes: Sequence[str] = (),
    margin: float = 0.0,
    pressures_too: bool = False,
    speed_spread: float = 0.1,
    weather: Weather | None = None,
    options: RideOptions | None = None,
    pump_step: float | None = None,
    secondary_step: float = SECONDARY_STEP,
    workers: int | None = None,
    seed: int = 1,
    plan: SearchPlan | None = None,
    progress: Progress | None = None,
) -> StagePlan:
    """Return the best build for all stages together and the best outside adjusters for each.

    Parameters
    ----------
    unit, rider, bike : Unit, Rider, Bike
        The unit a fork.
    race : sequence of Stage
        In the order they are ridden; they count alike.
    wishes, margin
        As in `recommend`.
    pressures_too : bool
        Let the pressures change between stages as well as the clicks.
    speed_spread : float
        Share by which the speed may be off either way.
    weather : Weather, optional
        By default 20 degC everywhere, filled at sea level.
    options, pump_step, secondary_step, workers, seed, plan, progress
        As in `recommend`.

    Returns
    -------
    StagePlan

    Raises
    ------
    Unphysical
        If the hardware cannot do it; stage and part are named.
    InputError
        For no stage, two of one name, an unknown wish, or a range that makes no sense.

    Notes
    -----
    Own method. A setting must be allowed in every case of a stage; grip, comfort and support are means over
    the cases, the margin is that of the worst. First the best single setting for all is searched, then build
    and stage settings are improved together by single steps until none helps.
    """
    begun = time.monotonic()
    tell = progress or (lambda _share, _words: None)
    goal, weather = Goal(weights_of(wishes), deepest_for(margin)), weather or Weather()
    check_courses([stage.course for stage in race])
    cases = cases_of(speed_spread, weather)
    courses, days = laid_out(race, cases, weather, options or RideOptions())
    adjusters = adjusters_for(unit, rider, bike, days[0][0], pump_step, secondary_step)
    names = tuple(adjuster.name for adjuster in adjusters)
    between = tuple(name for name in names if name in EXTERNAL or (pressures_too and name in PRESSURES))
    task = SweepTask(unit, courses, names, rider, bike, *days[0], days)
    stage_goal = StageGoal(goal, len(race), len(cases))
    workers = workers or available_cores()
    with RidePool(task, workers) as pool:
        search = SettingSearch(pool, adjusters, unit.travel.si)
        now = as_steps(adjusters, unit.setting)
        _, settled = find_best(
            search, stage_goal.costs, stage_goal.ends(), now, plan or USUAL_PLAN, seed,
            lambda share, words: tell(SEARCHED_FIRST * share, f"one setting for all: {words}"),
        )  # fmt: skip
        free = [names.index(name) for name in between]
        rows, refined = refine(
            search, stage_goal, free, lambda share, words: tell(SEARCHED_FIRST + 0.4 * share, words)
        )
        _refuse(unit, task, adjusters, stage_goal, search, rows, race)
        turned = [steps_from(search, goal, row, between, stage_goal.places(k)) for k, row in enumerate(rows)]
    tell(1.0, "done")
    single = int(np.argmin(stage_goal.costs(search.judged)))
    teller = _Teller(unit, search, stage_goal, single, [names.index(n) for n in names if n not in between])
    told = tuple(teller.stage(k, race[k], rows[k], turned[k]) for k in range(len(race)))
    ridden = sum(course.duration for course in courses) * len(search.steps)
    gains = [entry.shared_cost - entry.cost for entry in told if entry.shared_cost is not None]
    notes = [note for course in courses for note in course.warnings]
    notes += quick_rebound(unit, [entry.setting for entry in told])
    if not (settled and refined):
        notes.append("the search stopped before single steps ceased to help: ask again from this build")
    return StagePlan(
        unit=unit,
        build=told[0].setting,
        stages=told,
        one_for_all=teller.setting(single) if len(gains) == len(told) else None,
        gain=float(sum(gains)) if len(gains) == len(told) else None,
        between=between,
        fixed=tuple(name for name in names if name not in between),
        cases=cases,
        wishes=tuple(wishes),
        weights=goal.weights,
        deepest_allowed=goal.deepest,
        effort=Effort(len(search.steps), search.rides, ridden, time.monotonic() - begun, workers),
        warnings=tuple(dict.fromkeys(notes)),
    )


class _Teller:
    """Turns rows of the search into what is said about a stage."""

    def __init__(
        self, unit: Unit, search: SettingSearch, goal: StageGoal, single: int, shared: list[int]
    ) -> None:
        self._unit, self._search, self._goal, self._single = unit, search, goal, single
        self._shared = shared
        self._table = SettingsTable(tuple(a.name for a in search.adjusters), search.judged.values)
        self._single_allowed = bool(goal.goal.fits(search.judged)[single])

    def setting(self, row: int) -> Setting:
        """Return a row as a setting, checked against the unit's limits once more."""
        setting = self._table.setting(self._unit.setting, row)
        check_setting(self._unit, setting)
        return setting

    def stage(self, number: int, stage: Stage, row: int, steps: tuple[StepChange, ...]) -> StageSetting:
        """Return one stage's setting with everything it is compared with."""
        judged = self._search.judged.on(self._goal.places(number))
        costs, aims = self._goal.goal.costs(judged), judged.aims
        single = self._single if self._single_allowed else None
        return StageSetting(
            stage=stage,
            setting=self.setting(row),
            aims=aims[row],
            by_case=judged.by_course[row],
            cost=float(costs[row]),
            shared_aims=None if single is None else aims[single],
            shared_cost=None if single is None else float(costs[single]),
            regret=self._regret(number, row),
            steps=steps,
        )

    def _regret(self, number: int, row: int) -> Array:
        """Per case, the cost above that of the best setting seen with the same build.

        Only settings allowed in every case of the stage are compared, and the aims of each case are measured
        on the trade-off of those.
        """
        places = self._goal.places(number)
        allowed = np.flatnonzero(self._goal.goal.fits(self._search.judged.on(places)))
        build = self._search.steps[allowed][:, self._shared]
        same = (build == self._search.steps[row, self._shared]).all(axis=1)
        here = int(np.searchsorted(allowed, row))
        lost = []
        for place in places:
            costs = self._goal.goal.costs(self._search.judged.only(allowed).on([place]))
            lost.append(costs[here] - costs[same].min())
        return np.array(lost)


def _refuse(
    unit: Unit,
    task: SweepTask,
    adjusters: Sequence[Adjuster],
    goal: StageGoal,
    search: SettingSearch,
    rows: Sequence[int],
    race: Sequence[Stage],
) -> None:
    """Raise `Unphysical` for the first stage that no setting with the build is allowed on."""
    for number, row in enumerate(rows):
        judged = search.judged.on(goal.places(number))
        if not goal.goal.fits(judged)[row]:
            places = goal.places(number)
            alone = SweepTask(
                unit, tuple(task.courses[p] for p in places), task.names, task.rider, task.bike,
                task.conditions, task.options, tuple(task.days[p] for p in places),
            )  # fmt: skip
            reason = what_stops_it(unit, alone, adjusters, goal.goal.deepest, judged)
            raise Unphysical(f"stage {race[number].name}: {reason}")
