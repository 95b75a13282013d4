"""What is said beside every answer of a search: what it took, and what the rides could not see."""

from __future__ import annotations

import time
from collections.abc import Sequence

from forkwright.hardware import Setting, Unit
from forkwright.ride.course import Course
from forkwright.tune.recommendation import Effort
from forkwright.tune.search import SettingSearch

REAR_HANDS = (
    "for a shock, what the hands feel stands for the bike's acceleration over the rear wheel, weighted "
    "alike; chain and brake do not act on the shock here"
)


def effort_of(
    search: SettingSearch, courses: Sequence[Course], drawn: int, begun: float, workers: int
) -> Effort:
    """Return what a search took.

    Parameters
    ----------
    search : SettingSearch
    courses : sequence of Course
        Ridden with every setting.
    drawn : int
        Settings ridden besides, with parts off by their tolerances.
    begun : float
        s, reading of the monotonic clock at the start.
    workers : int
    """
    settings = search.ridden + drawn
    ridden = sum(course.duration for course in courses) * settings
    return Effort(search.ridden, settings * len(courses), ridden, time.monotonic() - begun, workers)


CLICKS_LEFT = "the damping is that of a table: clicks stand as in the file, and this says nothing about them"


def search_notes(
    unit: Unit,
    courses: Sequence[Course],
    settings: Sequence[Setting],
    unsettled: str | None,
    *,
    damper_ridden: bool = True,
) -> tuple[str, ...]:
    """Return what to mind of the settings a search found.

    `unsettled` says so where it stopped early; the damper of the file is not ridden where a table stands in.
    """
    notes = [note for course in courses for note in course.warnings]
    if unit.kind == "shock":
        notes.append(REAR_HANDS)
    if damper_ridden:
        notes += _quick_rebound(unit, settings)
    elif unit.damper is not None and any(unit.damper.click_ranges().values()):
        notes.append(CLICKS_LEFT)
    if unsettled is not None:
        notes.append(f"the search stopped before single steps ceased to help: {unsettled}")
    return tuple(dict.fromkeys(notes))


def _quick_rebound(unit: Unit, settings: Sequence[Setting]) -> list[str]:
    """What has to be said where rebound stands in the most open third: what the rides cannot see."""
    most = unit.damper.click_ranges().get("rebound", 0) if unit.damper is not None else 0
    if most == 0 or all((setting.rebound or 0) <= 2 * most / 3 for setting in settings):
        return []
    return [
        "rebound is quick here: a simulated ride sees one wheel alone, not how a lip throws bike and rider; "
        "try it on small jumps first and close it if it kicks"
    ]
