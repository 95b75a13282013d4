"""Which of some courses a logged ride was made of, found by riding them as the unit was ridden."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.evidence.course_shares import CourseShares
    from forkwright.evidence.ride_log import RideLog
    from forkwright.hardware import Bike, Rider, Unit
    from forkwright.ride.course import Course
    from forkwright.ride.options import RideOptions


def shares_of_log(
    log: RideLog,
    unit: Unit,
    rider: Rider,
    bike: Bike,
    courses: Sequence[Course],
    *,
    conditions: Conditions | None = None,
    options: RideOptions | None = None,
    tell: Callable[[float, str], None] = lambda _share, _words: None,
) -> CourseShares:
    """Return how much of a log each course stands for.

    Parameters
    ----------
    log : RideLog
        Of the unit at the setting it has.
    unit, rider, bike : Unit, Rider, Bike
        As in the log.
    courses : sequence of Course
        Those that may have been ridden.
    conditions, options
        As in `forkwright.ride.simulate.simulate`.
    tell : callable
        Told the share done, 0 to 1, and what is done now.

    Returns
    -------
    CourseShares
        Its warnings hold those of the log too.

    Raises
    ------
    Unphysical
        As `forkwright.ride.simulate.simulate`.

    Notes
    -----
    Own definition: see `forkwright.evidence.course_shares`.
    """
    from dataclasses import replace

    from forkwright.evidence.course_shares import course_shares
    from forkwright.ride.simulate import simulate

    scores = []
    for number, course in enumerate(courses):
        tell(number / len(courses), f"riding {course.name} as the log was ridden")
        ride = simulate(unit, course, rider=rider, bike=bike, conditions=conditions, options=options)
        scores.append(ride.scores)
    found = course_shares(log, scores, [course.name for course in courses])
    return replace(found, warnings=(*log.warnings, *found.warnings))
