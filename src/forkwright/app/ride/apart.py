"""A long ride in a process of its own: it can be ended at once, and the pages go on answering beside it.

The kernel runs a whole ride in one call, in which nothing can be asked; ending its process is the one way to
stop it. What it held in memory is given back with the process.
"""

from __future__ import annotations

import multiprocessing
import signal
import time
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

from forkwright.app.jobs import Tell
from forkwright.app.ride.questions import RideQuestion
from forkwright.app.ride.ride_job import Riders, ride_job
from forkwright.physics import Unphysical
from forkwright.units import InputError, UnitChoice

if TYPE_CHECKING:
    from forkwright.ride.course import Course

_GLANCE = 0.1  # s between two looks at whether the owner has cancelled


def ride_apart(
    who: Riders, course: Course, asked: RideQuestion, units: UnitChoice, tell: Tell
) -> dict[str, Any]:
    """Return what `ride_job` returns, worked out in another process.

    Parameters
    ----------
    who, course, asked, units
        As `ride_job`.
    tell : callable
        Told the share done and what is being done, ten times a second; when it raises, the process is ended.

    Raises
    ------
    InputError, Unphysical
        As `ride_job`.
    RuntimeError
        If the process goes away without an answer.
    """
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(there, who, course, asked, units), daemon=True)
    process.start()
    there.close()
    try:
        return _answer(here, tell)
    finally:
        process.kill()
        process.join()
        here.close()


def _answer(here: Connection, tell: Tell) -> dict[str, Any]:
    """Pass on what the process tells until it has an answer."""
    begun = time.monotonic()
    share, words = 0.03, "starting"
    while True:
        if not here.poll(_GLANCE):
            tell(share, f"{words}, {time.monotonic() - begun:.0f} s so far")
            continue
        try:
            kind, found = here.recv()
        except EOFError:
            raise RuntimeError("the ride's process went away without an answer") from None
        if kind == "told":
            share, words = found
        elif kind == "fault":
            raise found
        else:
            answer: dict[str, Any] = found
            return answer


def _work(there: Connection, who: Riders, course: Course, asked: RideQuestion, units: UnitChoice) -> None:
    """Ride, in the other process; an interrupt from the keyboard is the server's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        answer = ride_job(
            who, course, asked, units, lambda share, words: there.send(("told", (share, words)))
        )
    except (InputError, Unphysical) as fault:
        there.send(("fault", fault))
    else:
        there.send(("answer", answer))
    there.close()
