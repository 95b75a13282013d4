"""When the unit should come back: by hours of riding and by season, whichever comes first.

The hours are the shop's own figure from the maker's manual; the program ships none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from forkwright.shop.typed import check_range
from forkwright.units import InputError

DAYS_A_WEEK = 7
LONGEST_INTERVAL = 10_000.0  # h
MOST_HOURS_A_WEEK = 168.0  # a week has no more


@dataclass(frozen=True)
class NextService:
    """What stands on the card: after how many hours (h), by which day, and why that day."""

    hours: float | None
    on: date | None
    reason: str


def next_service(
    done_on: date,
    *,
    hours: float | None = None,
    hours_a_week: float | None = None,
    before_month: int | None = None,
) -> NextService:
    """Return when to come back.

    Parameters
    ----------
    done_on : date
        The day of this service.
    hours : float, optional
        The shop's interval, in h of riding.
    hours_a_week : float, optional
        How much the rider rides, in h a week; turns the hours into a day.
    before_month : int, optional
        The month (1-12) in which the rider's season begins: the service is due by the day before it, the
        first such month after this service.

    Raises
    ------
    InputError
        A number out of range.

    Examples
    --------
    >>> next_service(date(2031, 6, 1), hours=50, hours_a_week=5).on
    datetime.date(2031, 8, 10)
    >>> next_service(date(2031, 6, 1), hours=500, hours_a_week=5, before_month=3).on
    datetime.date(2032, 2, 29)
    """
    check_range(hours, "hours", LONGEST_INTERVAL)
    check_range(hours_a_week, "hours_a_week", MOST_HOURS_A_WEEK)
    choices: list[tuple[date, str]] = []
    if hours is not None and hours_a_week is not None:
        days = math.floor(hours / hours_a_week * DAYS_A_WEEK)
        try:
            due = done_on + timedelta(days=days)
        except OverflowError as error:
            raise InputError(
                "the service would fall beyond the calendar", key="hours_a_week", value=str(hours_a_week)
            ) from error
        choices.append((due, f"{hours:g} h of riding at {hours_a_week:g} h a week"))
    if before_month is not None:
        choices.append((_before_season(done_on, before_month), "before the season begins"))
    if not choices:
        return NextService(hours=hours, on=None, reason="" if hours is None else f"{hours:g} h of riding")
    on, reason = min(choices)
    return NextService(hours=hours, on=on, reason=reason)


def _before_season(done_on: date, month: int) -> date:
    if not 1 <= month <= 12:
        raise InputError("no such month", key="before_month", value=str(month), allowed="1 to 12")
    year = done_on.year + (date(done_on.year, month, 1) - timedelta(days=1) <= done_on)
    return date(year, month, 1) - timedelta(days=1)
