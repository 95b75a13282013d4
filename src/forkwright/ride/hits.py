"""Where a ride went deepest into its travel: the places worth looking at first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.ride.course import Course
from forkwright.ride.simulate import RideResult

APART = 0.5
"""Two hits lie at least this far apart, s; of closer ones the deeper counts. Own definition."""

REACH = 15.0
"""An event within this many metres before a hit is named with it. Own definition."""


@dataclass(frozen=True)
class Hit:
    """One deep stroke: when and where it was deepest, how deep, how fast it went in, what lies there."""

    time: float  # s
    distance: float  # m along the course
    travel: float  # m, the unit's stroke
    speed: float  # m/s, fastest compression in the half second before
    event: str  # kind of the event just before, empty where there is none
    event_at: float  # m along the course; 0 where there is none


def biggest_hits(ride: RideResult, course: Course, most: int = 8) -> tuple[Hit, ...]:
    """Return the deepest strokes of a ride, the deepest first.

    Parameters
    ----------
    ride : RideResult
    course : Course
        The one that was ridden; its marks name what lies before a hit.
    most : int
        How many at most.

    Returns
    -------
    tuple of Hit

    Notes
    -----
    Own definition: a hit is a step whose travel no other step within half a second exceeds, deeper than the
    static sag.
    """
    from scipy.signal import find_peaks

    apart = max(round(APART / ride.step), 1)
    travel = np.concatenate(([-np.inf], ride.travel, [-np.inf]))  # an end may be the deepest place too
    found = find_peaks(travel, height=ride.scores.static_sag_m, distance=apart)[0] - 1
    deepest = sorted(found.tolist(), key=lambda place: -ride.travel[place])[:most]
    return tuple(_hit(ride, course.marks, place, apart) for place in deepest)


def _hit(ride: RideResult, marks: Sequence[tuple[float, str]], place: int, apart: int) -> Hit:
    before = slice(max(place - apart, 0), place + 1)
    where = float(ride.distance[place])
    near = [(at, kind) for at, kind in marks if 0.0 <= where - at <= REACH]
    at, kind = near[-1] if near else (0.0, "")
    return Hit(
        time=float(ride.time[place]),
        distance=where,
        travel=float(ride.travel[place]),
        speed=float(max(ride.travel_speed[before].max(), 0.0)),
        event=kind,
        event_at=at,
    )
