"""Import of a long ride log against the table library's own reader on the same file: time, and memory."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import numpy as np
import polars as pl

from benchmarks.rows import Row, ratio_at_most
from forkwright.evidence.importing import import_recording

SECONDS, RATE, TURNS = 3600, 1000, 7

# Run in a process of its own, so that its peak is the import's; prints peak less start, in bytes.
_PEAK = """
import sys
import forkwright.evidence.importing as r, forkwright.evidence.textfiles
from forkwright.units.registry import scale
scale("mm", "length")
def peak():
    lines = open("/proc/self/status").read().splitlines()
    return next(int(line.split()[1]) * 1024 for line in lines if line.startswith("VmHWM"))
start = peak()
kept = r.import_recording(sys.argv[1])
print(peak() - start)
"""


def measure() -> list[Row]:
    """Return the rows of this file: one hour, four channels, 1 kHz (14.4 million values and their times)."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.csv"
        values = write_log(path)
        ours, reference = alternating(lambda: import_recording(path), lambda: pl.read_csv(path))
        rows = [
            ratio_at_most(
                "import of 1 h x 4 channels x 1 kHz (CSV)", ours, reference, "polars.read_csv, same file", 1.5
            )
        ]
        if Path("/proc/self/status").exists():
            rows.append(_memory(path, values * 8))
    return rows


def write_log(path: Path) -> int:
    """Write an invented log and return how many values it holds, times included."""
    rng = np.random.default_rng(1)
    t = np.arange(SECONDS * RATE) / RATE
    travel = 40 + 15 * np.sin(2 * np.pi * 1.7 * t) + rng.normal(0, 3, t.size)
    frame = pl.DataFrame(
        {
            "Time (s)": t.round(3),
            "Fork travel (mm)": travel.round(2),
            "Shock travel (mm)": (0.4 * travel).round(2),
            "Fork pressure (psi)": (85 + 0.5 * travel).round(2),
            "Wheel speed (km/h)": (20 + rng.normal(0, 1, t.size)).round(2),
        }
    )
    frame.write_csv(path)
    return frame.height * frame.width


def alternating(ours: Callable[[], object], reference: Callable[[], object]) -> tuple[float, float]:
    """Return the median seconds of each, taken in turns so that a busy machine disturbs both alike."""
    ours(), reference()
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(TURNS):
        for work, kept in zip((ours, reference), times, strict=True):
            start = time.perf_counter()
            work()
            kept.append(time.perf_counter() - start)
    return median(times[0]), median(times[1])


def _memory(path: Path, data: int) -> Row:
    answer = subprocess.run(
        [sys.executable, "-c", _PEAK, str(path)], capture_output=True, text=True, check=True
    )
    needed = int(answer.stdout)
    return Row(
        "memory of that import", float(needed), float(data),
        "the values themselves", needed / data, "at most 3 x", needed <= 3 * data, "B",
    )  # fmt: skip
