"""The Ride page's answer: one ride or two over a course, with thinned histories, hits and words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from forkwright.app.adjusters import adjusters_of
from forkwright.app.jobs import Tell
from forkwright.app.question import conditions_of
from forkwright.app.ride.figure import figure_of, trail_of
from forkwright.app.ride.questions import RideQuestion
from forkwright.app.ride.score_words import SCORES
from forkwright.app.ride.sentences import half_step_sentence, pair_sentences, ride_sentences
from forkwright.app.tuning.ride_fields import ride_options
from forkwright.app.wire import plain
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import UnitChoice

if TYPE_CHECKING:
    from forkwright.ride.course import Course
    from forkwright.ride.simulate import RideResult

SHOWN = 150.0
"""Longest stretch of a ride whose history is sent, s; the page asks for the next one."""

RATE = 120.0
"""Points of the history a second, about; scores and hits are from every step."""

DECIMALS = {"_m_s2": 3, "_m_s": 4, "_m": 5, "_s": 5, "_N": 1, "_Pa": 0}
"""Digits after the point of what is sent for drawing, by the unit a key ends in, the longest ending first."""


@dataclass(frozen=True)
class Riders:
    """Who rides what."""

    unit: Unit
    against: Unit | None
    rider: Rider
    bike: Bike


def ride_job(
    who: Riders, course: Course, asked: RideQuestion, units: UnitChoice, tell: Tell
) -> dict[str, Any]:
    """Return one ride, or two over the same ground, as the page shows them.

    Parameters
    ----------
    who : Riders
    course : Course
    asked : RideQuestion
        For the day, the tyre and the stretch whose history is wanted.
    units : UnitChoice
        Of the sentences.
    tell : callable
        Told the share done and what is being done; may raise to stop.
    """
    from forkwright.ride.simulate import half_step_change, simulate

    options, conditions = ride_options(asked), conditions_of(asked.day)
    ridden = [who.unit] if who.against is None else [who.unit, who.against]
    sides: list[dict[str, Any]] = []
    trail: dict[str, Any] = {}
    for place, unit in enumerate(ridden):
        tell(0.1 + 0.8 * place / len(ridden), f"riding {unit.name} over {course.name}")
        given: dict[str, Any] = {
            "rider": who.rider,
            "bike": who.bike,
            "conditions": conditions,
            "options": options,
        }
        ride = simulate(unit, course, **given)
        change = None
        if asked.check_step:
            tell(0.1 + 0.8 * (place + 0.3) / len(ridden), f"riding {unit.name} again at half the step")
            change = half_step_change(unit, course, ride, **given)
        tell(0.1 + 0.8 * (place + 0.7) / len(ridden), "picking out what is shown")
        stretch = _stretch(ride, asked.from_s)
        figure = figure_of(unit, ride, who.bike, options.tyre.outer_radius)
        sides.append(
            {"letter": "AB"[place], "figure": figure, "half_step_change": change}
            | _one_ride(unit, ride, course, stretch, units)
        )
        trail = trail or trail_of(ride, course, stretch, options.tyre)
    tell(0.95, "putting it into words")
    answer = {"course": course.name, "trail": trail, "sides": sides, "shown_s": SHOWN}
    result: dict[str, Any] = plain(answer | _compared(course, sides, units))
    return result


def _compared(course: Course, sides: list[dict[str, Any]], units: UnitChoice) -> dict[str, Any]:
    told = _said(course, sides, units)
    steps = [half_step_sentence(side) for side in sides if side["half_step_change"] is not None]
    return told | {"sentences": [*told["sentences"][:-1], *steps, told["sentences"][-1]]}


def _said(course: Course, sides: list[dict[str, Any]], units: UnitChoice) -> dict[str, Any]:
    """Return the difference of two rides, the sentences with the caution last, and the warnings."""
    a, warnings = sides[0], _warnings(sides)
    if len(sides) == 1:
        said = ride_sentences(a["name"], course.name, a["ride"], a["hits"], a["figure"]["travel_m"], units)
        return {"difference": None, "sentences": said, "warnings": warnings}
    b = sides[1]
    difference = {one.key: b["ride"][one.key] - a["ride"][one.key] for one in SCORES}
    travels = (a["figure"]["travel_m"], b["figure"]["travel_m"])
    said = pair_sentences(course.name, a["ride"], b["ride"], travels, units)
    return {"difference": difference, "sentences": said, "warnings": warnings}


def _warnings(sides: list[dict[str, Any]]) -> list[str]:
    """Return the warnings of all rides, those of one ride alone with its letter."""
    of = [side["ride"]["warnings"] for side in sides]
    shared = [words for words in of[0] if all(words in others for others in of)]
    alone = [
        f"{side['letter']}: {words}"
        for side in sides
        for words in side["ride"]["warnings"]
        if words not in shared
    ]
    return [*shared, *alone]


def _one_ride(
    unit: Unit, ride: RideResult, course: Course, stretch: slice, units: UnitChoice
) -> dict[str, Any]:
    from forkwright.ride.answers import ride_answer
    from forkwright.ride.hits import biggest_hits
    from forkwright.tune.naming import setting_words

    hits = [
        {
            "time_s": hit.time,
            "distance_m": hit.distance,
            "travel_m": hit.travel,
            "compression_m_s": hit.speed,
            "event": hit.event,
            "event_m": hit.event_at,
        }
        for hit in biggest_hits(ride, course)
    ]
    return {
        "name": unit.name,
        "setting": setting_words(unit.setting, units, unit),
        "ride": ride_answer(ride, course),
        "hits": hits,
        "history": _history(ride, stretch),
        "adjusters": adjusters_of(unit),
    }


def _stretch(ride: RideResult, start: float) -> slice:
    """Return the steps whose history is sent: every so many from `start` (s) on, both ends within."""
    stride = max(round(1.0 / (RATE * ride.step)), 1)
    first = min(int(start / ride.step), ride.time.size - 2)
    return slice(first, first + int(SHOWN / ride.step) + 1, stride)


def _history(ride: RideResult, stretch: slice) -> dict[str, Any]:
    from forkwright.ride.answers import HISTORY

    columns = {key: np.round(getattr(ride, name)[stretch], _decimals(key)) for key, name in HISTORY.items()}
    return {
        "every_steps": stretch.step,
        "points_per_s": 1.0 / (stretch.step * ride.step),
        "from_s": float(ride.time[stretch][0]),
        "to_s": float(ride.time[stretch][-1]),
        **columns,
    }


def _decimals(key: str) -> int:
    return next(digits for ending, digits in DECIMALS.items() if key.endswith(ending))
