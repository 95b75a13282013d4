"""Spring curve, its tolerance band against NumPy's streaming floor, and the start of the command line."""

from __future__ import annotations

import subprocess
import sys

import numpy as np

import forkwright as fw
from benchmarks.rows import Row, at_most, best_time, ratio_at_most
from forkwright.bench.bands import spring_bands

DRAWS, POINTS = 10_000, 161
# Arithmetic passes over the draws x points array that the band of the demo fork's force needs, one NumPy
# operation each: positive volume 2, positive pressure 1, its force 2, negative volume 2, its pressure 1,
# its force 3, two lower legs 2 x (volume 2, ratio 1, pressure 1, force 2, sum 1), bumper 4 + sum 1, and the
# three quantiles as one selection, counted as 3 passes.
PASSES = 2 + 1 + 2 + 2 + 1 + 3 + 2 * 7 + 5 + 3


def measure() -> list[Row]:
    """Return the rows of this file."""
    unit = fw.load(fw.demo_file("dunlin-160"))
    curve = best_time(lambda: fw.spring_curve(unit))
    band = best_time(lambda: spring_bands(unit, draws=DRAWS), repeats=5)
    first, second = np.random.default_rng(1).random((2, DRAWS, POINTS))
    out = np.empty_like(first)
    one_pass = best_time(lambda: np.multiply(first, second, out=out), repeats=9)
    start = best_time(
        lambda: subprocess.run(
            [sys.executable, "-m", "forkwright", "--help"], capture_output=True, check=True
        ),
        repeats=5,
    )
    return [
        at_most("one spring curve, 161 points, warm", curve, 200e-6),
        ratio_at_most(
            f"10,000-draw band of a spring curve ({PASSES} passes)", band, PASSES * one_pass,
            f"{PASSES} NumPy passes over the same array", 3.0,
        ),
        at_most("forkwright --help", start, 0.250),
    ]  # fmt: skip
