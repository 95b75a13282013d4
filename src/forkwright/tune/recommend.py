"""Settings for a rider, a bike, courses and wishes: with the trade-off, neighbours and a test order."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics import Unphysical
from forkwright.ride.course import Course
from forkwright.ride.leverage_table import on_the_bike
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool, available_cores
from forkwright.ride.portion import SweepTask
from forkwright.tune.adjusters import adjusters_for
from forkwright.tune.aims import weights_of, wished_for
from forkwright.tune.drawn_rides import DRAWS, RideBands, ride_bands
from forkwright.tune.goal import Goal, deepest_for
from forkwright.tune.nearest_spring import SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.option_teller import OptionTeller
from forkwright.tune.recommendation import Effort, Recommendation, StepChange
from forkwright.tune.search import Progress, SearchPlan, SettingSearch, find_best
from forkwright.tune.search_told import effort_of, search_notes
from forkwright.tune.step_changes import as_steps, steps_from, trail_order
from forkwright.units import InputError

SEARCHED = 0.65
"""Share of the progress that belongs to the search, where the parts are drawn after it."""


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
    draws: int = DRAWS,
    course_shares: Sequence[float] = (),
    progress: Progress | None = None,
) -> Recommendation:
    """Return the setting to start with, for a rider on a bike over courses.

    Parameters
    ----------
    unit, rider, bike : Unit, Rider, Bike
        A shock needs the bike's leverage curve.
    courses : sequence of Course
        Weighed alike, or as `course_shares` says.
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
    draws : int
        Of the bands from the tolerances; no draws, no bands.
    course_shares : sequence of float
        How much each course counts, adding up to 1, for example as a ride log is made up of them
        (`evidence.course_shares`). The biggest event of every course counts whatever its share.
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
        For an unknown wish, no course, a shock without a leverage curve, or a setting the unit must not have.

    Notes
    -----
    Own method: a Latin hypercube on whole steps, then neighbourhoods of the best and of those best in one
    aim, then walks to the best in each aim, and to the best by the wishes until neither a single step nor
    two at once are better. It is not proved best of all.
    """
    begun = time.monotonic()
    goal = Goal(weights_of(wishes), deepest_for(margin))
    check_courses(courses, course_shares)
    bike, options = on_the_bike(unit, bike, options or RideOptions())
    clicks = options.damping is None
    adjusters = adjusters_for(unit, rider, bike, conditions, pump_step, secondary_step, clicks=clicks)
    task = SweepTask(
        unit, tuple(courses), tuple(a.name for a in adjusters), rider, bike, conditions or Conditions(),
        options, course_shares=tuple(course_shares),
    )  # fmt: skip
    workers = workers or available_cores()
    with RidePool(task, workers) as pool:
        search = SettingSearch.over(pool, adjusters)
        tell = progress or (lambda _share, _words: None)
        found = _searched(pool, search, goal, wishes, plan or SearchPlan(), seed, draws, tell)
    drawn = found.bands.settings_ridden if found.bands is not None else 0
    effort = effort_of(search, courses, drawn, begun, workers)
    return _recommendation(task, search, found, tuple(wishes), effort)


@dataclass(frozen=True)
class _Found:
    """What the search ended at: rows of the best setting and of that in the file, and what is beside them."""

    goal: Goal
    best: int
    today: int
    settled: bool
    steps: tuple[StepChange, ...]
    bands: RideBands | None


def _searched(
    pool: RidePool,
    search: SettingSearch,
    goal: Goal,
    wishes: Sequence[str],
    plan: SearchPlan,
    seed: int,
    draws: int,
    tell: Progress,
) -> _Found:
    """Search from the setting in the file, refuse where nothing is allowed, and draw the parts."""
    task, searched = pool.task, SEARCHED if draws > 0 else 1.0
    now = as_steps(search.adjusters, task.unit.setting)
    today = int(search.look(now)[0])
    if goal.fits(search.judged)[today]:
        goal = goal.against(search.judged.aims[today], wished_for(wishes))
    best, settled = find_best(
        search, goal.costs, goal.ends(), now, plan, seed,
        lambda share, words: tell(searched * share, words),
    )  # fmt: skip
    if not goal.fits(search.judged)[best]:
        raise Unphysical(what_stops_it(task.unit, task, search.adjusters, goal.deepest, search.judged))
    steps, bands = steps_from(search, goal, best), None
    if draws > 0:
        bands = ride_bands(
            pool, search, goal, best, today, draws, seed,
            lambda share: tell(searched + (1.0 - searched) * share, "parts off by their tolerances"),
        )  # fmt: skip
    return _Found(goal, best, today, settled, steps, bands)


def _recommendation(
    task: SweepTask, search: SettingSearch, found: _Found, wishes: tuple[str, ...], effort: Effort
) -> Recommendation:
    unit, courses = task.unit, task.courses
    told = OptionTeller(unit, search, found.goal)
    best = told.option(found.best)
    unsettled = None if found.settled else "look again from this setting"
    return Recommendation(
        unit=unit,
        best=best,
        now=None if search.judged.faults[found.today] else told.option(found.today),
        trade_off=told.trade_off(),
        steps=found.steps,
        order=trail_order(search.adjusters, found.steps),
        adjusters=search.adjusters,
        wishes=wishes,
        weights=found.goal.weights,
        courses=tuple(course.name for course in courses),
        deepest_allowed=found.goal.deepest,
        bands=found.bands,
        effort=effort,
        warnings=search_notes(
            unit, courses, [best.setting], unsettled, damper_ridden=task.options.damping is None
        ),
    )


def check_courses(courses: Sequence[Course], course_shares: Sequence[float] = ()) -> None:
    """Refuse nothing to ride over, and shares that are no shares of these courses."""
    if not courses:
        raise InputError("at least one course is needed", key="--course")
    if course_shares and not (
        len(course_shares) == len(courses) and min(course_shares) >= 0 and abs(sum(course_shares) - 1) < 1e-6
    ):
        raise InputError(
            "a share for each course is needed, together 1",
            key="course_shares",
            value=", ".join(f"{share:g}" for share in course_shares),
        )
