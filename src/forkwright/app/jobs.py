"""The one queue for work that takes longer than a moment: progress, cancel, and an owner for every job.

A page hands in a function that takes a `Progress`; it reports how far it is and, by reporting, learns that
it has been cancelled. Results stay until their owner's number of kept jobs is reached.
"""

from __future__ import annotations

import itertools
import logging
import secrets
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Literal

from forkwright.app.failures import error_body
from forkwright.physics import Unphysical
from forkwright.units import InputError

State = Literal["waiting", "running", "done", "failed", "cancelled"]
Work = Callable[["Progress"], Any]
Tell = Callable[[float, str], None]
"""Told the share done (0 to 1) and in words what is being done; raises to stop the work."""

_LOG = logging.getLogger("forkwright.app")
_KEPT_PER_OWNER = 20
_WAITING_PER_OWNER = 5

LEAST_TELLING = 0.05
"""Share done before a time left is guessed: what comes first, such as compiling, says little of the rest."""


class CancelledError(Exception):
    """The owner asked for the job to stop."""


@dataclass
class Job:
    """One piece of heavy work and what is known about it.

    Parameters
    ----------
    key : str
        Unguessable name.
    owner : str
        Who handed it in (see `visitors`); nobody else sees it.
    title : str
        What is being done, in plain words.
    order : int
        When it was handed in, as a running number.
    """

    key: str
    owner: str
    title: str
    order: int
    state: State = "waiting"
    share: float = 0.0
    words: str = ""
    started: float | None = None
    result: Any = None
    failure: dict[str, Any] | None = None
    cancelled: threading.Event = field(default_factory=threading.Event)

    @property
    def finished(self) -> bool:
        """Whether nothing more will happen to it."""
        return self.state in ("done", "failed", "cancelled")

    def account(self) -> dict[str, Any]:
        """Return the job as JSON, without its result; `left_s` is an estimate from the share done so far, and
        None while too little is done for one."""
        running = time.monotonic() - self.started if self.started is not None else 0.0
        telling = self.share >= LEAST_TELLING and not self.finished
        left = running * (1.0 - self.share) / self.share if telling else None
        return {
            "key": self.key,
            "title": self.title,
            "state": self.state,
            "share": self.share,
            "words": self.words,
            "left_s": left,
            "failure": self.failure,
        }


class Progress:
    """What the work reports to; it raises `CancelledError` at the next report after a cancel."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def __call__(self, share: float, words: str = "") -> None:
        """Say that `share` (0 to 1) of the work is done and what is being done now."""
        if self._job.cancelled.is_set():
            raise CancelledError
        self._job.share = min(1.0, max(0.0, float(share)))
        self._job.words = words or self._job.words

    @property
    def cancelled(self) -> bool:
        """Whether the owner has asked to stop, for work that can only look now and then."""
        return self._job.cancelled.is_set()


class JobQueue:
    """Runs jobs in the order they were handed in, a fixed number at a time."""

    def __init__(self, workers: int = 1) -> None:
        self._pool = ThreadPoolExecutor(workers, thread_name_prefix="job")
        self._jobs: dict[str, Job] = {}
        self._lock = threading.Lock()
        self._order = itertools.count()

    def submit(self, owner: str, title: str, work: Work) -> Job:
        """Hand in `work`; it is called with a `Progress` and returns something that can be sent as JSON.

        Raises
        ------
        InputError
            When this owner already has as many unfinished jobs as one may have.
        """
        job = Job(key=secrets.token_urlsafe(12), owner=owner, title=title, order=next(self._order))
        with self._lock:
            mine = self._of(owner)
            if sum(not other.finished for other in mine) >= _WAITING_PER_OWNER:
                raise InputError(f"{_WAITING_PER_OWNER} jobs are waiting already; cancel one or wait for it")
            for old in [other for other in mine if other.finished][: max(0, len(mine) - _KEPT_PER_OWNER + 1)]:
                del self._jobs[old.key]
            self._jobs[job.key] = job
        self._pool.submit(_run, job, work)
        return job

    def find(self, owner: str, key: str) -> Job:
        """Return this owner's job.

        Raises
        ------
        InputError
            If there is none of that name, or it is somebody else's; the two are not told apart.
        """
        job = self._jobs.get(key)
        if job is None or not secrets.compare_digest(job.owner.encode(), owner.encode()):
            raise InputError("there is no such job; it may have been dropped after a restart", key="job")
        return job

    def cancel(self, owner: str, key: str) -> Job:
        """Ask this owner's job to stop; a waiting one stops at once, a running one at its next report."""
        job = self.find(owner, key)
        job.cancelled.set()
        if job.state == "waiting":
            job.state = "cancelled"
        return job

    def listed(self, owner: str) -> list[Job]:
        """Return this owner's jobs, the latest first."""
        with self._lock:
            return self._of(owner)[::-1]

    def close(self) -> None:
        """Cancel everything and start nothing more."""
        for job in list(self._jobs.values()):
            job.cancelled.set()
        self._pool.shutdown(wait=False, cancel_futures=True)

    def _of(self, owner: str) -> list[Job]:
        mine = [job for job in self._jobs.values() if job.owner == owner]
        return sorted(mine, key=lambda job: job.order)


def _run(job: Job, work: Work) -> None:
    if job.cancelled.is_set():
        job.state = "cancelled"
        return
    job.started = time.monotonic()
    job.state = "running"
    try:
        job.result = work(Progress(job))
    except CancelledError:
        job.state = "cancelled"
    except (InputError, Unphysical) as error:
        job.failure, job.state = error_body(error), "failed"
    except Exception:
        _LOG.exception("fault in the job %s", job.title)
        job.failure, job.state = {"error": "a fault of ours, not of your input"}, "failed"
    else:
        job.share, job.state = 1.0, "done"
