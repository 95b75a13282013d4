"""The ride: the compiled kernel against its C twin and SciPy's solver, and sweeps on one and two cores."""

from __future__ import annotations

import ctypes
import importlib.util
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

import forkwright as fw
from benchmarks.rows import Row, ratio_at_most, times_faster
from forkwright.bench import Conditions
from forkwright.ride.build import ride_parameters
from forkwright.ride.course_file import find_course
from forkwright.ride.kernel import run
from forkwright.ride.options import RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.rest import rest
from forkwright.ride.settings_table import latin_hypercube
from forkwright.ride.wheel_road import road_for

ROOT = Path(__file__).parents[1]
REPEATS = 15
SECONDS = 10.0
SOLVERS = {"Radau": 1000.0, "RK45": 250.0, "LSODA": 250.0}
"""Solvers and by how much the kernel is to be faster: the implicit one is what a stiff unit asks of a careful
user; the two explicit ones get by on this unit and are shown so that the best case for SciPy is seen too."""

START = 8.0
"""Where in the rough descent the piece of 10 s begins, s."""


def measure() -> list[Row]:
    """Return the rows of this file."""
    rows = []
    for fork in ("dunlin-160", "plover-160"):
        p, road, step = piece(fork)
        first = road[0]
        start = rest(p, first[0], first[2], first[3])
        series = np.empty(((road.shape[0] - 1) // 2 + 1, 8))
        floor = c_twin(p, start, road, step)
        # in turn, so that another program's load hits both alike
        ours, theirs = in_turn(lambda: run(p, start, road, step, series), floor)  # noqa: B023 - called at once
        name = fork.split("-")[0].capitalize()
        what = f"ride kernel, {SECONDS:g} s of rough descent, {name}"
        rows.append(ratio_at_most(f"{what}, one core", ours, theirs, "gcc -O3 -march=native", 1.2))
        for method, factor in SOLVERS.items():
            taken = solver_time(p, road, step, start, method)
            reference = f"solve_ivp {method} at scores within 0.5 %"
            rows.append(times_faster(f"{what}, {method}", ours, taken, reference, factor))
    rows.append(sweep_row())
    rows.append(memory_row())
    return rows


def piece(fork: str) -> tuple[RideParameters, np.ndarray, float]:
    """Return parameters, road and step of ten rough seconds."""
    unit, rider, bike = (fw.load(fw.demo_file(name)) for name in (fork, "rider", "bike"))
    p, _ = ride_parameters(unit, unit.setting, rider, bike, Conditions(), RideOptions())
    road = road_for(find_course("peat-hag-descent"), p, RideOptions())
    first, count = int(START / road.step), int(SECONDS / road.step)
    return p, road.values[2 * first : 2 * (first + count) + 1].copy(), road.step


def c_twin(p: RideParameters, start: Any, road: np.ndarray, step: float) -> Callable[[], None]:
    """Build the C twin, see that it gives the kernel's numbers, and return a call of it."""
    folder = tempfile.mkdtemp()
    library_path = Path(folder) / "ride_floor.so"
    subprocess.run(
        ["gcc", "-O3", "-march=native", "-shared", "-fPIC", "-o", str(library_path),
         str(ROOT / "benchmarks" / "ride_floor.c"), "-lm"],
        check=True,
    )  # fmt: skip
    library = ctypes.CDLL(str(library_path))

    class Table(ctypes.Structure):
        _fields_ = (("data", ctypes.c_void_p), ("size", ctypes.c_long))

    class Parameters(ctypes.Structure):
        _fields_ = tuple(
            (name, Table if isinstance(value, np.ndarray) else ctypes.c_double)
            for name, value in p._asdict().items()
        )

    kept = {
        name: np.ascontiguousarray(value)
        for name, value in p._asdict().items()
        if isinstance(value, np.ndarray)
    }
    filled = Parameters()
    for name, value in p._asdict().items():
        setattr(filled, name, Table(kept[name].ctypes.data, kept[name].size) if name in kept else value)
    count = (road.shape[0] - 1) // 2
    series, works = np.empty((count + 1, 8)), np.empty(8)

    def address(array: np.ndarray) -> ctypes.c_void_p:
        return array.ctypes.data_as(ctypes.c_void_p)

    def call() -> None:
        state = np.array(start, dtype=np.float64)
        library.run(
            ctypes.byref(filled), address(state), address(works), address(road), ctypes.c_long(count),
            ctypes.c_double(step), address(series),
        )  # fmt: skip

    call()
    ours = np.empty_like(series)
    run(p, start, road, step, ours)
    difference = np.abs(series - ours).max(axis=0) / np.maximum(np.abs(ours).max(axis=0), 1e-12)
    if difference.max() > 1e-6:
        raise SystemExit(f"the C twin differs from the kernel by {difference.max():.1e}")
    return call


def in_turn(first: Callable[[], object], second: Callable[[], object]) -> tuple[float, float]:
    """Return the best times of two calls, measured alternately so that other programs hinder both alike,
    s."""
    taken: tuple[list[float], list[float]] = ([], [])
    first(), second()
    for _ in range(REPEATS):
        for call, times in zip((first, second), taken, strict=True):
            begin = time.perf_counter()
            call()
            times.append(time.perf_counter() - begin)
    return min(taken[0]), min(taken[1])


def solver_time(p: RideParameters, road: np.ndarray, step: float, start: Any, method: str) -> float:
    """Return the time SciPy's solver takes for the same ride, s; refuse if its travel is not the kernel's."""
    spec = importlib.util.spec_from_file_location("ride_twin", ROOT / "tests" / "twins" / "ride_twin.py")
    assert spec is not None
    assert spec.loader is not None
    twin = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(twin)
    begin = time.perf_counter()
    states, _ = twin.ride_with_solver(p, road, step, start, method, 1e-5)
    taken = time.perf_counter() - begin
    series = np.empty((states.shape[0], 8))
    run(p, start, road, step, series)
    ours, theirs = ((x.mean(), x.max(), x.std()) for x in (series[:, 0], states[:, 1]))
    if not np.allclose(ours, theirs, rtol=5e-3):
        raise SystemExit(f"{method} rides otherwise than the kernel: travel {theirs} against {ours}")
    return taken


def sweep_row() -> Row:
    """Return the efficiency of a sweep on two processes, with start-up taken off both.

    90 % efficiency is at most 1/0.9 times half the time of one process.
    """
    times = [(sweep_time(1), sweep_time(2)) for _ in range(2)]
    one, two = (min(column) for column in zip(*times, strict=True))
    return ratio_at_most(
        "sweep on two cores, a setting", two, 0.5 * one, "half of one process's time", 1.0 / 0.9
    )


def sweep_time(workers: int) -> float:
    """Return the time a setting takes once a sweep is under way, s."""
    unit, rider, bike = (fw.load(fw.demo_file(name)) for name in ("dunlin-160", "rider", "bike"))
    course = find_course("heather-traverse")
    table = latin_hypercube({"pressure": (4.5e5, 7.5e5), "spacers": (0, 5)}, 480, seed=1)
    stamps: list[tuple[float, int]] = []
    with tempfile.TemporaryDirectory() as folder:
        fw.sweep(
            unit,
            [course],
            table,
            folder,
            rider=rider,
            bike=bike,
            workers=workers,
            progress=lambda done, _total: stamps.append((time.perf_counter(), done)),
        )
    early = next(stamp for stamp in stamps if stamp[1] >= 64)
    return (stamps[-1][0] - early[0]) / (stamps[-1][1] - early[1])


def memory_row() -> Row:
    """Return the most memory of a sweep of many settings beside that of one with few, start-up included."""
    sweep_peak(2)  # the compiler takes memory of its own when it has not run here before
    few, many = (sweep_peak(count) for count in (200, 2000))
    ratio = many / few
    return Row(
        "memory of a sweep of 2,000 settings",
        many,
        few,
        "200 settings",
        ratio,
        "at most 1.05 x",
        ratio <= 1.05,
        "B",
    )


def sweep_peak(count: int) -> float:
    """Return the most memory that a process of its own took for a sweep of so many settings, bytes."""
    script = ROOT / "tests" / "sweep_memory.py"
    with tempfile.TemporaryDirectory() as folder:
        answer = subprocess.run(
            [sys.executable, str(script), str(count), folder], capture_output=True, text=True, check=True
        )
    return 1024.0 * int(answer.stdout)
