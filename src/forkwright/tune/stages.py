"""A race of several stages: one build for the day, and what to turn before each stage."""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np

from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics import Unphysical
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool, available_cores
from forkwright.ride.portion import SweepTask
from forkwright.tune.adjusters import EXTERNAL, Adjuster, adjusters_for, rideable_by
from forkwright.tune.aims import weights_of
from forkwright.tune.goal import Goal, deepest_for
from forkwright.tune.naming import PRESSURES
from forkwright.tune.nearest_spring import SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.race_plan import StagePlan
from forkwright.tune.recommend import REAR_HANDS, check_courses, quick_rebound
from forkwright.tune.recommendation import Effort
from forkwright.tune.search import Progress, SearchPlan, SettingSearch, find_best
from forkwright.tune.stage_bands import DRAWS, gain_band
from forkwright.tune.stage_days import Stage, Weather, cases_of, laid_out
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
    courses, days = laid_out(race, cases, weather, options or RideOptions())
    adjusters = adjusters_for(unit, rider, bike, days[0][0], pump_step, secondary_step)
    names = tuple(adjuster.name for adjuster in adjusters)
    between = tuple(name for name in names if name in EXTERNAL or (pressures_too and name in PRESSURES))
    task = SweepTask(unit, courses, names, rider, bike, *days[0], days)
    stage_goal = StageGoal(goal, len(race), len(cases))
    workers = workers or available_cores()
    with RidePool(task, workers) as pool:
        search = SettingSearch(
            pool, adjusters, unit.travel.si, rideable_by(unit, rider, bike, days[0][0], adjusters)
        )
        now = as_steps(adjusters, unit.setting)
        _, settled = find_best(
            search, stage_goal.costs, stage_goal.ends(), now, plan or USUAL_PLAN, seed,
            lambda share, words: tell(SEARCHED_FIRST * share, f"one setting for all: {words}"),
        )  # fmt: skip
        free = [names.index(name) for name in between]
        rows, refined = refine(
            search,
            stage_goal,
            free,
            lambda share, words: tell(SEARCHED_FIRST + (REFINED - SEARCHED_FIRST) * share, words),
        )
        _refuse(unit, task, adjusters, stage_goal, search, rows, race)
        single = int(np.argmin(stage_goal.costs(search.judged)))
        turned = [steps_from(search, goal, row, between, stage_goal.places(k)) for k, row in enumerate(rows)]
        band, drawn_settings = None, 0
        if draws > 0:
            band, drawn_settings = gain_band(
                pool, search, stage_goal, rows, single, draws, seed,
                lambda share: tell(REFINED + (1.0 - REFINED) * share, "parts off by their tolerances"),
            )  # fmt: skip
    tell(1.0, "done")
    teller = StageTeller(
        unit, search, stage_goal, single, [names.index(n) for n in names if n not in between]
    )
    told = tuple(teller.stage(k, race[k], rows[k], turned[k]) for k in range(len(race)))
    rides = (search.ridden + drawn_settings) * len(courses)
    ridden = sum(course.duration for course in courses) * (search.ridden + drawn_settings)
    gains = [entry.shared_cost - entry.cost for entry in told if entry.shared_cost is not None]
    notes = [note for course in courses for note in course.warnings]
    if unit.kind == "shock":
        notes.append(REAR_HANDS)
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
        gain_band=band,
        effort=Effort(search.ridden, rides, ridden, time.monotonic() - begun, workers),
        warnings=tuple(dict.fromkeys(notes)),
    )


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
