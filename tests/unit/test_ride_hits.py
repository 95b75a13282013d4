"""The biggest hits of a ride: the deepest strokes, apart from each other, named by what lies before them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import forkwright as fw
from forkwright.ride.course import Course
from forkwright.ride.hits import APART, REACH, biggest_hits
from forkwright.ride.simulate import RideResult


@pytest.fixture(scope="module")
def ride() -> tuple[RideResult, Course]:
    """Ride a demonstration stage once."""
    course = fw.load_course(fw.demo_file("courses/cairn-flow-line"))
    who: dict[str, Any] = {"rider": fw.load(fw.demo_file("rider")), "bike": fw.load(fw.demo_file("bike"))}
    unit: Any = fw.load(fw.demo_file("dunlin-160"))
    return fw.simulate(unit, course, **who), course


def test_no_other_step_nearby_is_deeper(ride: tuple[RideResult, Course]) -> None:
    """Each hit is the deepest step within half a second, and the first is the ride's deepest travel."""
    result, course = ride
    hits = biggest_hits(result, course)
    assert hits[0].travel == result.scores.greatest_travel_m
    assert [hit.travel for hit in hits] == sorted((hit.travel for hit in hits), reverse=True)
    for hit in hits:
        near = np.abs(result.time - hit.time) < APART
        assert result.travel[near].max() == hit.travel
        assert hit.travel > result.scores.static_sag_m
        assert hit.speed == pytest.approx(
            result.travel_speed[near & (result.time <= hit.time)].max(), rel=0.02
        )


def test_hits_lie_apart_and_none_is_missing(ride: tuple[RideResult, Course]) -> None:
    """Two hits are at least half a second apart; a step deeper than the last hit lies near one of them."""
    result, course = ride
    hits = biggest_hits(result, course, most=5)
    assert len(hits) == 5
    times = np.array([hit.time for hit in hits])
    assert np.min(np.diff(np.sort(times))) >= APART * 0.999
    deeper = result.time[result.travel > hits[-1].travel]
    assert np.all(np.min(np.abs(deeper[:, None] - times[None, :]), axis=1) < APART)


def test_a_hit_is_named_by_what_lies_just_before(ride: tuple[RideResult, Course]) -> None:
    """An event is named when it begins within reach before the hit, and never one that lies ahead."""
    result, course = ride
    marks = dict(course.marks)
    for hit in biggest_hits(result, course):
        before = [at for at in marks if 0.0 <= hit.distance - at <= REACH]
        assert (hit.event, hit.event_at) == ((marks[max(before)], max(before)) if before else ("", 0.0))
