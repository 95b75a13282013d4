"""The Balance page's answers: both ends at rest, what to change, and a ride of both."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from forkwright.app.adjusters import adjusters_of
from forkwright.app.jobs import Tell
from forkwright.app.question import conditions_of
from forkwright.app.rear.balance_questions import BalanceQuestion, options_of, stance_of
from forkwright.app.setting_edits import coil_edits, edits_to
from forkwright.app.wire import plain
from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics.values import Array
from forkwright.ride.attitude import Attitude
from forkwright.ride.course import Course
from forkwright.ride.pitch import PitchRide, ends_of
from forkwright.ride.pitch_ends import WheelEnd
from forkwright.ride.pitch_options import PitchOptions
from forkwright.sheets.side_view import BikeSide, SidePose, draw_side
from forkwright.tune.balance import Balance, balance
from forkwright.tune.balance_advice import Aims, advise
from forkwright.tune.balance_answer import advice_answer, attitude_answer, pair_answer, ride_answer
from forkwright.tune.balance_ends import EndBalance, damping_over_speed
from forkwright.tune.balance_words import advice_sentences, balance_sentences, drift_sentences
from forkwright.tune.nearest_spring import PUMP_STEP
from forkwright.units import UnitChoice

_MILLI = 1e3
_COLUMNS = 1200
_WHEEL_SPEEDS = np.linspace(-1.5, 1.5, 61)
_EVERY = 4  # point of the springs' tables is sent


def rest_answer(
    fork: Unit, shock: Unit, rider: Rider, bike: Bike, asked: BalanceQuestion, units: UnitChoice
) -> dict[str, Any]:
    """Return both ends as they are set: what follows the sliders."""
    options, day = options_of(asked), conditions_of(asked.day)
    found = balance(fork, shock, rider, bike, conditions=day, options=options, stance=stance_of(asked))
    wheels = ends_of(fork, shock, rider, bike, None, None, day)
    ends = (found.pair.front, found.pair.rear)
    return {
        **pair_answer(found.pair),
        "dynamic_index": found.dynamic_index,
        "level": attitude_answer(found.level),
        "held": attitude_answer(found.held) if found.held is not None else None,
        "adjusters": {"fork": adjusters_of(fork), "shock": adjusters_of(shock)},
        "curves": {end.end: _curves(end, wheel, day) for end, wheel in zip(ends, wheels, strict=True)},
        "drawing": _side_view(found, bike, options),
        "sentences": list(balance_sentences(found, units)),
        "warnings": list(found.warnings),
    }


def told_advice(
    fork: Unit, shock: Unit, rider: Rider, bike: Bike, asked: BalanceQuestion, units: UnitChoice
) -> dict[str, Any]:
    """Return what to change at one end, as `forkwright balance` says it, and the edits that do it."""
    options, day = options_of(asked), conditions_of(asked.day)
    found = balance(fork, shock, rider, bike, conditions=day, options=options)
    advice = advise(
        found,
        rider,
        bike,
        change=asked.change,
        aims=Aims(asked.sag_lead_percent / 100.0),
        conditions=day,
        options=options,
        pump_step=bike.pump_step.si if bike.pump_step is not None else PUMP_STEP,
    )
    own = shock if asked.change == "rear" else fork
    return {
        "advice": advice_answer(advice),
        "sentences": list(advice_sentences(advice, units)),
        "edits": (edits_to(advice.setting, own.setting, units) or {}) | coil_edits(own, advice.coil_rate),
        "warnings": list(advice.warnings),
    }


def ride_job(
    fork: Unit,
    shock: Unit,
    rider: Rider,
    bike: Bike,
    course: Course,
    asked: BalanceQuestion,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Return a ride of both ends over a course: scores, drift in words, and what moves over the distance."""
    tell(0.05, f"riding {course.name} on both wheels")
    found = balance(
        fork,
        shock,
        rider,
        bike,
        conditions=conditions_of(asked.day),
        course=course,
        options=options_of(asked),
    )
    assert found.ride is not None
    tell(0.95, "drawing")
    answer: dict[str, Any] = plain(
        {
            "course": course.name,
            "ride": ride_answer(found.ride),
            "series": _series(found.ride),
            "sentences": list(drift_sentences(found.ride, units)),
            "warnings": list(found.ride.warnings),
        }
    )
    return answer


def _curves(end: EndBalance, wheel: WheelEnd, day: Conditions) -> dict[str, Any]:
    """The spring over the wheel's travel, and the damping over the wheel's speed at the sag."""
    return {
        "wheel_travel_m": wheel.travel[::_EVERY],
        "wheel_force_N": wheel.spring[::_EVERY],
        "wheel_speed_m_s": _WHEEL_SPEEDS,
        "wheel_damping_N": damping_over_speed(end.unit, end.lever, _WHEEL_SPEEDS, day),
    }


def _side_view(found: Balance, bike: Bike, options: PitchOptions) -> str | None:
    layout = found.layout
    side = BikeSide(
        wheelbase=_MILLI * layout.wheelbase,
        wheel_radius=_MILLI * options.tyre.outer_radius,
        head_angle=float(bike.head_angle.si),
        to_rear=_MILLI * layout.to_rear,
        centre_height=_MILLI * layout.centre_height,
    )
    share = layout.rider_mass / layout.mass
    level, held = (_pose(one, share) for one in (found.level, found.held))
    if level is None or (found.held is not None and held is None):
        return None
    words = (
        "as it rests on level ground" if held is None else "as it is held, over how it rests on level ground"
    )
    return draw_side(side, level, held, f"The bike from the side, {words}", "balance-side")


def _pose(found: Attitude | None, share: float) -> SidePose | None:
    """How an attitude is drawn; `share` is the rider's of the sprung mass."""
    if found is None or found.fork_travel is None or found.rear_travel is None:
        return None
    return SidePose(
        fork_travel=_MILLI * found.fork_travel,
        wheel_travel=_MILLI * max(found.rear_travel, 0.0),
        rider_shift=_MILLI * found.rider_shift * share,
        slope=math.atan(found.stance.gradient),
    )


def _series(ride: PitchRide) -> dict[str, Array]:
    """No more points than a screen has columns."""
    thin = slice(None, None, max(1, ride.distance.size // _COLUMNS))
    return {
        "distance_m": ride.distance[thin],
        "front_travel_m": ride.front_travel[thin],
        "rear_travel_m": ride.rear_travel[thin],
        "pitch_rad": ride.pitch[thin],
    }
