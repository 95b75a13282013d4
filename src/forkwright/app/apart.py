"""Work in a process of its own: it can be ended at once, and the pages go on answering beside it.

What runs in one call of compiled code or of a solver cannot be asked to stop; ending its process is the one
way. What it held in memory is given back with the process.
"""

from __future__ import annotations

import multiprocessing
import signal
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, TypeVar

from forkwright.app.jobs import Tell
from forkwright.physics import Unphysical
from forkwright.units import InputError

Found = TypeVar("Found")

_GLANCE = 0.1  # s between two looks at whether the owner has cancelled


def apart(work: Callable[..., Found], *given: Any, tell: Tell, words: str = "starting") -> Found:
    """Return what ``work(*given, tell)`` returns, worked out in another process.

    Parameters
    ----------
    work : callable
        A function of a module; what it is given and what it returns go from process to process.
    tell : callable
        Told the share done and what is being done, ten times a second; when it raises, the process is ended.
    words : str
        What is being done before the work tells anything itself.

    Raises
    ------
    InputError, Unphysical
        As `work`.
    RuntimeError
        If the process goes away without an answer.
    """
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(there, work, given), daemon=True)
    process.start()
    there.close()
    try:
        found: Found = _answer(here, tell, words)
        return found
    finally:
        process.kill()
        process.join()
        here.close()


def _answer(here: Connection, tell: Tell, words: str) -> Any:
    """Pass on what the process tells until it has an answer."""
    begun = time.monotonic()
    share = 0.03
    while True:
        if not here.poll(_GLANCE):
            tell(share, f"{words}, {time.monotonic() - begun:.0f} s so far")
            continue
        try:
            kind, found = here.recv()
        except EOFError:
            raise RuntimeError("the process of this work went away without an answer") from None
        if kind == "told":
            share, words = found
        elif kind == "fault":
            raise found
        else:
            return found


def _work(there: Connection, work: Callable[..., Any], given: tuple[Any, ...]) -> None:
    """Work, in the other process; an interrupt from the keyboard is the server's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        answer = work(*given, lambda share, words: there.send(("told", (share, words))))
    except (InputError, Unphysical) as fault:
        there.send(("fault", fault))
    else:
        there.send(("answer", answer))
    there.close()
