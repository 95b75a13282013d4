"""Settings for a rider, a bike, courses and wishes: with the trade-off, neighbours and a test order."""

from __future__ import annotations

import time
from collections.abc import Sequence

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics import Unphysical
from forkwright.ride.course import Course
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool, available_cores
from forkwright.ride.portion import SweepTask
from forkwright.tune.adjusters import adjusters_for, rideable_by
from forkwright.tune.aims import weights_of, wished_for
from forkwright.tune.drawn_rides import DRAWS, ride_bands
from forkwright.tune.goal import Goal, deepest_for
from forkwright.tune.nearest_spring import SECONDARY_STEP
from forkwright.tune.obstacles import what_stops_it
from forkwright.tune.option_teller import OptionTeller
from forkwright.tune.recommendation import Effort, Recommendation
from forkwright.tune.search import Progress, SearchPlan, SettingSearch, find_best
from forkwright.tune.step_changes import as_steps, steps_from, trail_order
from forkwright.units import InputError

SEARCHED = 0.65
"""Share of the progress that belongs to the search, where the parts are drawn after it."""

REAR_HANDS = (
    "for a shock, what the hands feel stands for the bike's acceleration over the rear wheel, weighted "
    "alike; chain and brake do not act on the shock here"
)


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
        For an unknown wish, no course, a rear unit, or a setting the unit must not be given.

    Notes
    -----
    Own method: a Latin hypercube on whole steps, then neighbourhoods of the best and of those best in one
    aim, then walks to the best in each aim, and to the best by the wishes until neither a single step nor
    two at once are better. It is not proved best of all.
    """
    begun = time.monotonic()
    weights, deepest = weights_of(wishes), deepest_for(margin)
    check_courses(courses, course_shares)
    adjusters = adjusters_for(unit, rider, bike, conditions, pump_step, secondary_step)
    task = SweepTask(
        unit, tuple(courses), tuple(a.name for a in adjusters), rider, bike, conditions or Conditions(),
        options or RideOptions(), course_shares=tuple(course_shares),
    )  # fmt: skip
    goal, tell = Goal(weights, deepest), progress or (lambda _share, _words: None)
    searched = SEARCHED if draws > 0 else 1.0
    workers = workers or available_cores()
    with RidePool(task, workers) as pool:
        search = SettingSearch(
            pool, adjusters, unit.travel.si, rideable_by(unit, rider, bike, conditions, adjusters)
        )
        now = as_steps(adjusters, unit.setting)
        today = int(search.look(now)[0])
        if goal.fits(search.judged)[today]:
            goal = goal.against(search.judged.aims[today], wished_for(wishes))
        best, settled = find_best(
            search, goal.costs, goal.ends(), now, plan or SearchPlan(), seed,
            lambda share, words: tell(searched * share, words),
        )  # fmt: skip
        if not goal.fits(search.judged)[best]:
            raise Unphysical(what_stops_it(unit, task, adjusters, deepest, search.judged))
        steps = steps_from(search, goal, best)
        bands = None
        if draws > 0:
            bands = ride_bands(
                pool, search, goal, best, today, draws, seed,
                lambda share: tell(searched + (1.0 - searched) * share, "parts off by their tolerances"),
            )  # fmt: skip
    told = OptionTeller(unit, search, goal)
    rides = search.rides + (bands.settings_ridden * len(courses) if bands is not None else 0)
    ridden = sum(course.duration for course in courses) * rides / len(courses)
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
        order=trail_order(adjusters, steps),
        adjusters=adjusters,
        wishes=tuple(wishes),
        weights=weights,
        courses=tuple(course.name for course in courses),
        deepest_allowed=deepest,
        bands=bands,
        effort=Effort(search.ridden, rides, ridden, time.monotonic() - begun, workers),
        warnings=tuple(dict.fromkeys(notes)),
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


def quick_rebound(unit: Unit, settings: Sequence[Setting]) -> list[str]:
    """Return what has to be said where rebound stands in the most open third: what the rides cannot see."""
    most = unit.damper.click_ranges().get("rebound", 0) if unit.damper is not None else 0
    if most == 0 or all((setting.rebound or 0) <= 2 * most / 3 for setting in settings):
        return []
    return [
        "rebound is quick here: a simulated ride sees one wheel alone, not how a lip throws bike and rider; "
        "try it on small jumps first and close it if it kicks"
    ]
