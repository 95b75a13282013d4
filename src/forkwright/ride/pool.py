"""Processes that stay up between batches of settings, for a search that looks before its next batch."""

from __future__ import annotations

import concurrent.futures as futures
import multiprocessing
import os
from collections.abc import Callable, Sequence
from types import TracebackType
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from forkwright.ride.engines import start_process, work, work_on
from forkwright.ride.kept import Kept
from forkwright.ride.portion import Other, Rows, SweepTask, score_other, score_portion

Piece = TypeVar("Piece")

CHUNK = 4
"""Settings a worker takes at a time."""


class RidePool:
    """Scores settings over the courses of a task, on this machine's cores; use it in a `with` block.

    Parameters
    ----------
    task : SweepTask
    workers : int
        Processes; 1 works in this process.
    """

    def __init__(self, task: SweepTask, workers: int) -> None:
        self.task = task
        self._kept = Kept()
        self._pool: futures.ProcessPoolExecutor | None = None
        if workers > 1:
            self._pool = futures.ProcessPoolExecutor(
                workers, multiprocessing.get_context("spawn"), initializer=start_process, initargs=(task,)
            )

    def __enter__(self) -> RidePool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def score(self, values: NDArray[np.float64], progress: Callable[[int], None] | None = None) -> list[Rows]:
        """Ride settings and return their scores, in order, a few settings to each `Rows`.

        Parameters
        ----------
        values : array
            SI, shape (n, len(task.names)).
        progress : callable, optional
            Called with the number of settings done in this call; may raise to stop.
        """
        chunks = [values[start : start + CHUNK] for start in range(0, len(values), CHUNK)]
        tell = progress or (lambda _: None)
        return self._worked_on(
            chunks,
            lambda chunk: score_portion(self.task, chunk, self._kept),
            work,
            lambda number: tell(min(number * CHUNK, len(values))),
        )

    def score_others(
        self, others: Sequence[Other], progress: Callable[[int], None] | None = None
    ) -> list[Rows]:
        """Ride other units, riders and bikes over the same courses; one `Rows` for each, in order.

        Parameters
        ----------
        others : sequence of (Unit, Rider, Bike, array)
            With their settings, SI, shape (k, len(task.names)).
        progress : callable, optional
            Called with the number done; may raise to stop.
        """
        return self._worked_on(
            others,
            lambda other: score_other(self.task, other, self._kept),
            work_on,
            progress or (lambda _: None),
        )

    def _worked_on(
        self,
        pieces: Sequence[Piece],
        here: Callable[[Piece], Rows],
        there: Callable[[Piece], Rows],
        tell: Callable[[int], None],
    ) -> list[Rows]:
        """Work on pieces in this process or in the workers, in order."""
        if self._pool is None:
            found = []
            for number, piece in enumerate(pieces, start=1):
                found.append(here(piece))
                tell(number)
            return found
        waiting = [self._pool.submit(there, piece) for piece in pieces]
        try:
            for number, future in enumerate(waiting, start=1):
                future.result()
                tell(number)
        except BaseException:
            for future in waiting:
                future.cancel()
            raise
        return [future.result() for future in waiting]


def available_cores() -> int:
    """Return how many cores this process may use."""
    allowed = getattr(os, "sched_getaffinity", None)
    return len(allowed(0)) if allowed is not None else os.cpu_count() or 1
