"""A log that was brought in on the Ride logs page, for the questions that ask what was really ridden."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from forkwright.app.drafts import Draft
from forkwright.app.evidence.shelf import Held, Shelf
from forkwright.app.jobs import Tell
from forkwright.hardware import Unit

if TYPE_CHECKING:
    from forkwright.evidence.ride_log import RideLog


class Log(NamedTuple):
    """The file, where it is kept, the draft of the unit it was logged on, and its channel of travel."""

    held: Held
    shelf: Shelf
    draft: Draft
    channel: str


def logged_ride(log: Log, unit: Unit, tell: Tell) -> RideLog:
    """Return the log read as a ride of the unit, from memory or anew."""
    from forkwright.app.evidence.questions import RideLogQuestion
    from forkwright.app.evidence.rides import ride_of

    asked = RideLogQuestion(file=log.held.key, fork=log.draft, channel=log.channel)
    return ride_of(log.held, log.shelf, unit, asked, tell)
