"""The questions: a match, and a recommendation over three stages of a minute; processor time, not waiting.

Processor seconds are counted, over all processes, so that other work on the machine disturbs little; shared
over two cores they are what two idle cores would take, starting of processes included.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

import forkwright as fw
from benchmarks.rows import Row
from forkwright.bench import Conditions
from forkwright.ride.build import ride_parameters
from forkwright.ride.course import Course
from forkwright.ride.course_file import find_course
from forkwright.ride.kernel import SERIES, run
from forkwright.ride.options import RideOptions
from forkwright.ride.rest import rest
from forkwright.ride.wheel_road import road_for

STAGES = ("cairn-flow-line", "heather-traverse", "peat-hag-descent")
MINUTE = 60.0
CORES = 2


def measure() -> list[Row]:
    """Return the rows of this file."""
    rows = [match_row("dunlin-160", "plover-160"), match_row("plover-160", "dunlin-160")]
    return [*rows, *recommend_rows("dunlin-160")]


def match_row(a: str, b: str) -> Row:
    """A match of fork and damper over all travel and speeds, its bands included: at most a second.

    Every time other units are drawn, so that no stack of theirs is known from before.
    """
    one, other = fw.load(fw.demo_file(a)), fw.load(fw.demo_file(b))
    taken = min(spent(lambda: fw.match(one, other, seed=seed)) for seed in (1, 2, 3))  # noqa: B023
    return Row(
        f"match {a} to {b}, processor time", taken, 1.0, "stated limit", taken, "at most 1 s", taken <= 1.0
    )


def recommend_rows(fork: str) -> list[Row]:
    """A recommendation over three stages of a minute: at most a minute, and how near the raw kernel it is."""
    unit, rider, bike = (fw.load(fw.demo_file(name)) for name in (fork, "rider", "bike"))
    courses = [minute(find_course(name)) for name in STAGES]
    kernel = raw_kernel(fork, courses)
    begun = processor_time()
    found = fw.recommend(unit, rider, bike, courses, wishes=("more comfort",), workers=CORES)
    taken = processor_time() - begun
    each = taken / found.effort.rides
    return [
        Row(
            f"recommend, three stages of 60 s, {found.effort.rides} rides with those of the bands, processor "
            f"time over {CORES} cores",
            taken / CORES, 60.0, "stated limit", taken / CORES / 60.0, "at most 60 s", taken / CORES <= 60.0,
        ),
        Row(
            f"recommend, a ride of 60 s, all included (efficiency {kernel / each:.0%})",
            each, kernel, "raw kernel", each / kernel, "at most 3 x", each <= 3.0 * kernel,
        ),
    ]  # fmt: skip


def minute(course: Course) -> Course:
    """The course, ridden on into its own beginning, cut off after a minute."""
    joined = {
        name: np.concatenate((line, line[1:]))
        for name in ("speed", "load_factor", "gradient")
        for line in (getattr(course, name),)
    }
    rise = course.elevation[-1] - course.elevation[0]
    elevation = np.concatenate((course.elevation, course.elevation[1:] + rise))
    distance = course.spacing * np.arange(elevation.size)
    twice = replace(course, distance=distance, elevation=elevation, marks=(), **joined)
    count = int(np.searchsorted(twice.time, MINUTE)) + 1
    cut = {name: line[:count] for name, line in joined.items()}
    return replace(twice, distance=distance[:count], elevation=elevation[:count], **cut)


def raw_kernel(fork: str, courses: list[Course]) -> float:
    """Mean seconds of the stepping alone for one ride, best of five each."""
    unit, rider, bike = (fw.load(fw.demo_file(name)) for name in (fork, "rider", "bike"))
    p, _ = ride_parameters(unit, unit.setting, rider, bike, Conditions(), RideOptions())
    times = []
    for course in courses:
        road = road_for(course, p, RideOptions())
        first = road.values[0]
        start = rest(p, first[0], first[2], first[3])
        series = np.empty((road.distance.size, len(SERIES)))
        times.append(
            min(spent(lambda: run(p, start, road.values, road.step, series)) for _ in range(6))  # noqa: B023
        )
    return float(np.mean(times))


def spent(work: Callable[[], object]) -> float:
    """Processor seconds of a call in this process."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def processor_time() -> float:
    """Processor seconds of this process and of its processes that have ended."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)
