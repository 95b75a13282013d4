"""Score a table of settings over courses: on this machine's cores, or on a Dask cluster by its address.

The work is cut into portions; each finished portion is one Parquet file in the sweep's folder, written whole
or not at all. A sweep that was stopped or killed goes on where it left off when it is called again.
"""

from __future__ import annotations

import hashlib
import json
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from forkwright.bench import Conditions
from forkwright.hardware import Bike, Rider, Unit
from forkwright.ride.course import Course
from forkwright.ride.kept import Kept
from forkwright.ride.options import RideOptions
from forkwright.ride.portion import Rows, SweepTask, score_portion
from forkwright.ride.settings_table import SettingsTable, check_moved, check_table
from forkwright.units import InputError

if TYPE_CHECKING:
    import polars as pl

PORTION = 16
"""Settings a portion: small enough for frequent progress, large enough that files and messages cost
little."""

PLAN = "plan.json"

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class SweepResult:
    """Where the scores of a sweep are, and how far it came."""

    folder: Path
    settings: int
    courses: int
    done: int  # settings scored
    finished: bool

    def table(self) -> pl.DataFrame:
        """Return every row scored so far, one per setting and course, in the order of the settings."""
        import polars as pl

        return pl.read_parquet(self.folder / "part-*.parquet").sort("setting", "course")


def sweep(
    unit: Unit,
    courses: Sequence[Course],
    settings: SettingsTable,
    folder: str | os.PathLike[str],
    *,
    rider: Rider,
    bike: Bike,
    conditions: Conditions | None = None,
    options: RideOptions | None = None,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
    cancel: threading.Event | None = None,
) -> SweepResult:
    """Ride every setting over every course and keep the scores.

    Parameters
    ----------
    unit : Unit
    courses : sequence of Course
    settings : SettingsTable
        From `grid`, `latin_hypercube` or a list.
    folder : path
        Made if it does not exist. A folder that holds another sweep is refused.
    rider, bike : Rider, Bike
    conditions : Conditions, optional
    options : RideOptions, optional
    workers : int, optional
        Processes on this machine; by default one a core. 1 works in this process.
    cluster : str, optional
        Address of a Dask scheduler such as ``tcp://host:8786``; then `workers` is not used.
    progress : callable, optional
        Called with settings done and settings in all.
    cancel : threading.Event, optional
        Once set, no further portion is begun and what is finished is kept.

    Returns
    -------
    SweepResult

    Raises
    ------
    InputError
        If a setting must not be given to the unit, clicks are varied that change nothing, the folder holds
        another sweep, or the cluster cannot be reached.

    Notes
    -----
    Memory does not grow with the number of settings beyond the table itself: at most two portions a worker
    are under way, and none is kept once written.
    """
    check_table(unit, settings)
    options = options or RideOptions()
    check_moved(settings, options)
    if not courses:
        raise InputError("a sweep needs at least one course", key="course")
    task = SweepTask(
        unit,
        tuple(courses),
        settings.names,
        rider,
        bike,
        conditions or Conditions(),
        options,
    )
    target = Path(folder)
    _prepare(target, task, settings)
    waiting = [number for number in range(-(-len(settings) // PORTION)) if not _part(target, number).exists()]
    all_portions = -(-len(settings) // PORTION)
    done = len(settings) - sum(_size(settings, number) for number in waiting)
    report = progress or (lambda _done, _total: None)
    report(done, len(settings))
    stop = cancel or threading.Event()
    portions = ((number, settings.values[_rows(number)]) for number in waiting)
    for number, rows in _engine(task, portions, workers, cluster, stop, len(waiting)):
        _write(_part(target, number), rows, settings, number)
        done += _size(settings, number)
        report(done, len(settings))
    finished = all(_part(target, number).exists() for number in range(all_portions))
    return SweepResult(target, len(settings), len(courses), done, finished)


def _engine(
    task: SweepTask,
    portions: Iterator[tuple[int, Any]],
    workers: int | None,
    cluster: str | None,
    stop: threading.Event,
    count: int,
) -> Iterator[tuple[int, Rows]]:
    """Return an iterator over finished portions, from the engine asked for."""
    from forkwright.ride.engines import on_cluster, on_cores
    from forkwright.ride.pool import available_cores

    if cluster is not None:
        return on_cluster(task, portions, cluster, stop)
    cores = min(workers or available_cores(), count) if count else 1
    if cores <= 1:
        return _in_this_process(task, portions, stop)
    return on_cores(task, portions, cores, stop)


def _in_this_process(
    task: SweepTask, portions: Iterator[tuple[int, Any]], stop: threading.Event
) -> Iterator[tuple[int, Rows]]:
    kept = Kept()
    for number, values in portions:
        if stop.is_set():
            return
        yield number, score_portion(task, values, kept)


def _prepare(target: Path, task: SweepTask, settings: SettingsTable) -> None:
    """Make the folder, or see that what lies in it belongs to the same sweep."""
    plan = {
        "format": 1,
        "sweep": task.fingerprint,
        "settings": hashlib.sha256(settings.values.tobytes()).hexdigest()[:16],
        "count": len(settings),
        "portion": PORTION,
    }
    try:
        target.mkdir(parents=True, exist_ok=True)
        place = target / PLAN
        if place.exists():
            if json.loads(place.read_text("utf-8")) != plan:
                raise InputError(
                    "this folder holds another sweep; choose an empty one", file=str(target), key="--out"
                )
            return
        if any(target.iterdir()):
            raise InputError("this folder is not empty", file=str(target), key="--out")
        scratch = target / f".{PLAN}"
        scratch.write_text(json.dumps(plan, indent=1), "utf-8")
        scratch.replace(place)
    except (OSError, ValueError) as fault:
        raise InputError(f"cannot be used for a sweep: {fault}", file=str(target), key="--out") from None


def _write(place: Path, rows: Rows, settings: SettingsTable, number: int) -> None:
    """Write one portion whole or not at all."""
    import numpy as np
    import polars as pl

    chosen = _rows(number)
    index = np.arange(len(settings))[chosen]
    given = {name: column[rows.setting] for name, column in settings.columns(chosen).items()}
    frame = pl.DataFrame({"setting": index[rows.setting], "course": rows.course, **given, **rows.scores})
    scratch = place.with_name(f".{place.name}")
    frame.write_parquet(scratch)
    scratch.replace(place)


def _part(target: Path, number: int) -> Path:
    return target / f"part-{number:07d}.parquet"


def _rows(number: int) -> slice:
    return slice(number * PORTION, (number + 1) * PORTION)


def _size(settings: SettingsTable, number: int) -> int:
    return min(PORTION, len(settings) - number * PORTION)
