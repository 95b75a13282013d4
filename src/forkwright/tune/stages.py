"""A race of several stages: one build for the day, and what to turn before each stage."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics import Unphysical
from forkwright.ride.leverage_table import on_the_bike
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool, available_cores
from forkwright.ride.portion import SweepTask
from forkwright.tune.adjusters import adjusters_for
from forkwright.tune.aims import weights_of
from forkwright.tune.goal import Goal, deepest_for
from forkwright.tune.naming import CLICKS, PRESSURES
from forkwright.tune.nearest_spring import SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.race_plan import GainBand, StagePlan
from forkwright.tune.recommend import check_courses
from forkwright.tune.recommendation import Effort, StepChange
from forkwright.tune.search import Progress, SearchPlan, SettingSearch, find_best
from forkwright.tune.search_told import effort_of, search_notes
from forkwright.tune.stage_bands import DRAWS, gain_band
from forkwright.tune.stage_days import Case, Stage, Weather, cases_of, laid_out
from forkwright.tune.stage_search import StageGoal, refine
from forkwright.tune.stage_teller import StageTeller
from forkwright.tune.step_changes import as_steps, steps_from

USUAL_PLAN = SearchPlan(spread=96)
SEARCHED_FIRST, REFINED = 0.5, 0.8
"""Shares of the progress after the search of one setting for all stages, and after that of each stage's."""


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
    draws: int = DRAWS,
    progress: Progress | None = None,
) -> StagePlan:
    """Return the best build for all stages together and the best outside adjusters for each.

    Parameters
    ----------
    unit, rider, bike : Unit, Rider, Bike
        A shock needs the bike's leverage curve.
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
    draws : int
        Of the gain's band from the tolerances; no draws, no band.

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
    bike, options = on_the_bike(unit, bike, options or RideOptions())
    courses, days = laid_out(race, cases, weather, options)
    clicks = options.damping is None
    adjusters = adjusters_for(unit, rider, bike, days[0][0], pump_step, secondary_step, clicks=clicks)
    names = tuple(adjuster.name for adjuster in adjusters)
    between = tuple(name for name in names if name in CLICKS or (pressures_too and name in PRESSURES))
    task = SweepTask(unit, courses, names, rider, bike, *days[0], days)
    workers = workers or available_cores()
    with RidePool(task, workers) as pool:
        search, stage_goal = SettingSearch.over(pool, adjusters), StageGoal(goal, len(race), len(cases))
        found = _searched(pool, search, stage_goal, race, between, plan or USUAL_PLAN, seed, draws, tell)
    tell(1.0, "done")
    effort = effort_of(search, courses, found.drawn, begun, workers)
    return _race_plan(task, search, stage_goal, race, cases, tuple(wishes), between, found, effort)


@dataclass(frozen=True)
class _Found:
    """What the search ended at: rows of the stages' settings and of one for all, and what is beside them."""

    rows: list[int]
    single: int
    settled: bool
    steps: tuple[tuple[StepChange, ...], ...]  # by stage
    band: GainBand | None
    drawn: int


def _searched(
    pool: RidePool,
    search: SettingSearch,
    goal: StageGoal,
    race: Sequence[Stage],
    between: Sequence[str],
    plan: SearchPlan,
    seed: int,
    draws: int,
    tell: Progress,
) -> _Found:
    """Search one setting for all, then build and stages together; refuse what cannot be ridden."""
    names = pool.task.names
    _, settled = find_best(
        search, goal.costs, goal.ends(), as_steps(search.adjusters, pool.task.unit.setting), plan, seed,
        lambda share, words: tell(SEARCHED_FIRST * share, f"one setting for all: {words}"),
    )  # fmt: skip
    rows, refined = refine(
        search, goal, [names.index(name) for name in between],
        lambda share, words: tell(SEARCHED_FIRST + (REFINED - SEARCHED_FIRST) * share, words),
    )  # fmt: skip
    _refuse(pool.task, goal, search, rows, race)
    single = int(np.argmin(goal.costs(search.judged)))
    steps = tuple(
        steps_from(search, goal.goal, row, between, goal.places(number)) for number, row in enumerate(rows)
    )
    band, drawn = None, 0
    if draws > 0:
        band, drawn = gain_band(
            pool, search, goal, rows, single, draws, seed,
            lambda share: tell(REFINED + (1.0 - REFINED) * share, "parts off by their tolerances"),
        )  # fmt: skip
    return _Found(rows, single, settled and refined, steps, band, drawn)


def _race_plan(
    task: SweepTask,
    search: SettingSearch,
    goal: StageGoal,
    race: Sequence[Stage],
    cases: tuple[Case, ...],
    wishes: tuple[str, ...],
    between: tuple[str, ...],
    found: _Found,
    effort: Effort,
) -> StagePlan:
    shared = [number for number, name in enumerate(task.names) if name not in between]
    teller = StageTeller(task.unit, search, goal, found.single, shared)
    told = tuple(
        teller.stage(number, stage, row, steps)
        for number, (stage, row, steps) in enumerate(zip(race, found.rows, found.steps, strict=True))
    )
    gains = [entry.shared_cost - entry.cost for entry in told if entry.shared_cost is not None]
    comparable = len(gains) == len(told)
    settings = [entry.setting for entry in told]
    unsettled = None if found.settled else "ask again from this build"
    return StagePlan(
        unit=task.unit,
        build=told[0].setting,
        stages=told,
        one_for_all=teller.setting(found.single) if comparable else None,
        gain=float(sum(gains)) if comparable else None,
        between=between,
        fixed=tuple(name for name in task.names if name not in between),
        cases=cases,
        wishes=wishes,
        weights=goal.goal.weights,
        deepest_allowed=goal.goal.deepest,
        gain_band=found.band,
        effort=effort,
        warnings=search_notes(
            task.unit, task.courses, settings, unsettled, damper_ridden=task.options.damping is None
        ),
    )


def _refuse(
    task: SweepTask, goal: StageGoal, search: SettingSearch, rows: Sequence[int], race: Sequence[Stage]
) -> None:
    """Raise `Unphysical` for the first stage that no setting with the build is allowed on."""
    for number, row in enumerate(rows):
        places = goal.places(number)
        judged = search.judged.on(places)
        if not goal.goal.fits(judged)[row]:
            alone = replace(
                task,
                courses=tuple(task.courses[place] for place in places),
                days=tuple(task.days[place] for place in places),
            )
            reason = what_stops_it(task.unit, alone, search.adjusters, goal.goal.deepest, judged)
            raise Unphysical(f"stage {race[number].name}: {reason}")
