"""What fits into a day: runs per rider, changeovers, bikes; a session is never split over two days."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from forkwright.trial.request import Day
from forkwright.units import InputError


def days_for(riders: Sequence[str], runs_each: int, day: Day) -> list[int]:
    """Return the day (from 1, dimensionless) of each session, in running order.

    Parameters
    ----------
    riders : sequence of str
        The rider of each session, in running order.
    runs_each : int
        Runs in one session, dimensionless.
    day : Day
        What a day allows (minutes and runs).

    Raises
    ------
    InputError
        If not even one session fits into a day.

    Examples
    --------
    >>> days_for(["a", "b", "a", "b"], 3, Day(runs_per_rider=3))
    [1, 1, 2, 2]
    """
    most_sessions = day.runs_per_rider // runs_each
    if most_sessions < 1:
        raise InputError(
            "a session does not fit into a rider's day; runs that are compared belong to one day",
            key="day.runs_per_rider",
            value=str(day.runs_per_rider),
            allowed=f"at least {runs_each}",
        )
    days: list[int] = []
    for rider in riders:
        today = days[-1] if days else 1
        ridden = Counter(name for name, number in zip(riders, days, strict=False) if number == today)
        ridden[rider] += 1
        if ridden[rider] > most_sessions or _minutes(ridden, runs_each, day) > day.minutes:
            today += 1 if days else 0
            if _minutes(Counter([rider]), runs_each, day) > day.minutes:
                raise InputError(
                    "a session with its warm-up run does not fit into the day",
                    key="day.minutes",
                    value=f"{day.minutes:g}",
                    allowed=f"at least {_minutes(Counter([rider]), runs_each, day):g}",
                )
        days.append(today)
    return days


def _minutes(ridden: Counter[str], runs_each: int, day: Day) -> float:
    """Minutes of a day: a warm-up run for each rider, then runs and changeovers shared by the bikes."""
    runs = runs_each * sum(ridden.values())
    warm_up = len(ridden) * day.run_minutes
    return (warm_up + runs * (day.run_minutes + day.changeover_minutes)) / day.bikes
