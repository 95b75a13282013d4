"""Where the portions of a sweep are worked on: processes on this machine, or a Dask cluster."""

from __future__ import annotations

import concurrent.futures as futures
import importlib
import multiprocessing
import signal
import threading
from collections.abc import Callable, Collection, Iterator
from typing import Any

from forkwright.ride.kept import Kept
from forkwright.ride.portion import Other, Rows, SweepTask, score_other, score_portion
from forkwright.units import InputError

AHEAD = 2
"""Portions under way a worker: one being worked on, one waiting."""

Portions = Iterator[tuple[int, Any]]

_process: tuple[SweepTask, Kept] | None = None  # of a worker process, set once when it starts


def on_cores(
    task: SweepTask, portions: Portions, workers: int, stop: threading.Event
) -> Iterator[tuple[int, Rows]]:
    """Work on portions in processes of this machine.

    Parameters
    ----------
    task : SweepTask
    portions : iterator of (number, settings)
    workers : int
        Processes.
    stop : threading.Event
        Once set, no further portion is begun.

    Yields
    ------
    (int, Rows)
        In the order in which they finish.
    """
    pool = futures.ProcessPoolExecutor(
        workers, multiprocessing.get_context("spawn"), initializer=start_process, initargs=(task,)
    )
    try:
        yield from _worked_off(
            portions, AHEAD * workers, stop, lambda values: pool.submit(work, values), _first_of_cores
        )
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def on_cluster(
    task: SweepTask, portions: Portions, address: str, stop: threading.Event
) -> Iterator[tuple[int, Rows]]:
    """Work on portions on a Dask cluster.

    Parameters
    ----------
    task, portions, stop
        As in `on_cores`.
    address : str
        Of the scheduler.

    Yields
    ------
    (int, Rows)
        As `on_cores`.

    Raises
    ------
    InputError
        If the cluster cannot be reached or has no workers.
    """
    distributed: Any = importlib.import_module("distributed")
    try:
        client: Any = distributed.Client(address, timeout="10s", set_as_default=False)
    except (OSError, ValueError, TimeoutError) as fault:
        raise InputError(f"the cluster cannot be reached: {fault}", key="--cluster", value=address) from None
    with client, client.as_current():
        cores = sum(client.nthreads().values())
        if cores == 0:
            raise InputError("the cluster has no workers", key="--cluster", value=address)
        shared = client.scatter(task, broadcast=True, hash=False)
        yield from _worked_off(
            portions,
            AHEAD * cores,
            stop,
            lambda values: client.submit(score_portion, shared, values, pure=False, retries=2),
            _first_of_cluster,
        )


def _worked_off(
    portions: Portions,
    most: int,
    stop: threading.Event,
    begin: Callable[[Any], Any],
    finished: Callable[[Collection[Any]], Collection[Any]],
) -> Iterator[tuple[int, Rows]]:
    """Keep up to `most` portions under way, and yield each when it is done."""
    under_way: dict[Any, int] = {}
    while True:
        for number, values in _next(portions, most - len(under_way), stop):
            under_way[begin(values)] = number
        if not under_way:
            return
        for future in finished(under_way):
            yield under_way.pop(future), future.result()


def _first_of_cores(under_way: Collection[Any]) -> Collection[Any]:
    """Wait for a process to be done with its portion; none after half a second, so that a stop is seen."""
    return futures.wait(under_way, timeout=0.5, return_when=futures.FIRST_COMPLETED).done


def _first_of_cluster(under_way: Collection[Any]) -> Collection[Any]:
    """Wait for the cluster to be done with a portion."""
    distributed: Any = importlib.import_module("distributed")
    done: Collection[Any] = distributed.wait(list(under_way), return_when="FIRST_COMPLETED").done
    return done


def _next(portions: Portions, count: int, stop: threading.Event) -> Iterator[tuple[int, Any]]:
    """Yield the next `count` portions, none once a stop is asked for."""
    for _ in range(count):
        if stop.is_set():
            return
        portion = next(portions, None)
        if portion is None:
            return
        yield portion


def start_process(task: SweepTask) -> None:
    """Keep what is the same for every portion, once for this worker process.

    An interrupt from the keyboard is the caller's to answer, not the worker's.
    """
    global _process
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _process = task, Kept()


def work(values: Any) -> Rows:
    """Score one portion in a worker process that `start_process` has prepared."""
    assert _process is not None
    return score_portion(_process[0], values, _process[1])


def work_on(other: Other) -> Rows:
    """Score settings of another unit, rider and bike in such a process."""
    assert _process is not None
    return score_other(_process[0], other, _process[1])
