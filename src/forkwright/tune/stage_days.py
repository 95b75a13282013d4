"""What a race day may bring: each stage ridden slower and faster, colder and warmer than planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.physics.constants import T0, ZERO_CELSIUS
from forkwright.ride.course import Course
from forkwright.ride.options import RideOptions
from forkwright.ride.portion import Day
from forkwright.units import InputError

GREATEST_SPEED_SPREAD = 0.3
COLDEST, WARMEST = 233.15, 333.15
HIGHEST = 6000.0


@dataclass(frozen=True)
class Stage:
    """A named stage: its course, and its altitude (m) of the standard atmosphere."""

    name: str
    course: Course
    altitude: float = 0.0


@dataclass(frozen=True)
class Weather:
    """Where and when the chambers are filled, and what the day may bring.

    Parameters
    ----------
    expected, coldest, warmest : float
        Temperature on the stages, K. The damper's oil is taken as warm as the air.
    fill_temperature : float
        K, when the pressures are set.
    fill_altitude : float
        m, where they are set.
    """

    expected: float = T0
    coldest: float = T0
    warmest: float = T0
    fill_temperature: float = T0
    fill_altitude: float = 0.0


@dataclass(frozen=True)
class Case:
    """One way the day may go: a factor on every speed, and the temperature, K."""

    name: str
    speed: float
    temperature: float


def cases_of(speed_spread: float, weather: Weather) -> tuple[Case, ...]:
    """Return the cases, the expected one first; those that would repeat it are left out.

    Parameters
    ----------
    speed_spread : float
        Share by which the speed may be off either way, 0 to 0.3.
    weather : Weather

    Raises
    ------
    InputError
        For a spread or a temperature out of range.
    """
    if not 0.0 <= speed_spread <= GREATEST_SPEED_SPREAD:
        raise InputError(
            "the spread of the speed is out of range",
            key="--speed-spread",
            value=f"{speed_spread:.0%}",
            allowed=f"0 % to {GREATEST_SPEED_SPREAD:.0%}",
        )
    if not COLDEST <= weather.coldest <= weather.expected <= weather.warmest <= WARMEST:
        told = ", ".join(
            f"{t - ZERO_CELSIUS:.0f}" for t in (weather.coldest, weather.expected, weather.warmest)
        )
        raise InputError(
            "coldest, expected and warmest must follow each other",
            key="--coldest",
            value=f"{told} °C",
            allowed=f"{COLDEST - ZERO_CELSIUS:.0f} °C to {WARMEST - ZERO_CELSIUS:.0f} °C",
        )
    cases = [Case("as expected", 1.0, weather.expected)]
    if speed_spread > 0.0:
        cases += [
            Case(f"{speed_spread:.0%} slower", 1.0 - speed_spread, weather.expected),
            Case(f"{speed_spread:.0%} faster", 1.0 + speed_spread, weather.expected),
        ]
    for words, temperature in (("colder", weather.coldest), ("warmer", weather.warmest)):
        if temperature != weather.expected:
            cases.append(Case(f"{words} ({temperature - ZERO_CELSIUS:.0f} °C)", 1.0, temperature))
    return tuple(cases)


def laid_out(
    stages: Sequence[Stage], cases: Sequence[Case], weather: Weather, options: RideOptions
) -> tuple[tuple[Course, ...], tuple[Day, ...]]:
    """Return every stage in every case as courses and days, the cases of a stage side by side.

    Raises
    ------
    InputError
        For no stage, two stages of one name, or an altitude out of range.
    """
    names = [stage.name for stage in stages]
    if not stages:
        raise InputError("at least one stage is needed", key="--stage")
    for name in names:
        if names.count(name) > 1:
            raise InputError("two stages have the same name", key="--stage", value=name)
    days: dict[tuple[float, float], Day] = {}
    courses, when = [], []
    for stage in stages:
        if not -400.0 <= stage.altitude <= HIGHEST:
            raise InputError(
                "the altitude is out of range", key=stage.name, value=f"{stage.altitude:g} m",
                allowed=f"-400 m to {HIGHEST:.0f} m",
            )  # fmt: skip
        for case in cases:
            key = stage.altitude, case.temperature
            if key not in days:
                air = Conditions.at(
                    stage.altitude, case.temperature, weather.fill_altitude, weather.fill_temperature
                )
                days[key] = air, replace(options, oil_temperature=case.temperature)
            courses.append(at_speed(stage.course, case.speed, f"{stage.name}, {case.name}"))
            when.append(days[key])
    return tuple(courses), tuple(when)


def at_speed(course: Course, factor: float, name: str) -> Course:
    """Return a course ridden at a multiple of its speeds; berms and compressions press with its square.

    Notes
    -----
    Source: centripetal acceleration grows with the square of the speed (derived): the part of the load
    factor beyond 1 is multiplied by `factor`². Flights of jumps are those of the planned speed.
    """
    load = 1.0 + (course.load_factor - 1.0) * factor**2
    notes = course.warnings
    if load.min() < 0.0:
        notes = (*notes, f"{name}: the bike would leave the ground over a crest; taken as weightless there")
        load = np.maximum(load, 0.0)
    return replace(course, name=name, speed=course.speed * factor, load_factor=load, warnings=notes)
