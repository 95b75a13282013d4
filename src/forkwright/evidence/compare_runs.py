"""Two runs side by side: what differs by more than chance, with block-bootstrap intervals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.bootstrap import Interval, block_sums, correlation_length, difference_of
from forkwright.evidence.ride_log import RideLog
from forkwright.evidence.ride_use import DEEP, FAST
from forkwright.physics.values import Array

LONGEST_BLOCK = 20.0  # s
SHORTEST_BLOCK = 1.0  # s


@dataclass(frozen=True)
class Difference:
    """One figure of two runs.

    Parameters
    ----------
    name : str
        What it is.
    unit : str
        SI unit; "" for a share.
    first, second : float
        In each run.
    change : Interval
        Second less first, with its interval.
    shown : bool
        True when the interval lies clear of zero.
    """

    name: str
    unit: str
    first: float
    second: float
    change: Interval
    shown: bool


@dataclass(frozen=True)
class RunComparison:
    """Differences between two runs.

    Parameters
    ----------
    differences : tuple of Difference
        One for each figure.
    block : float
        s; length of the blocks.
    level : float
        Coverage of each interval.
    warnings : tuple of str
        What to mind.
    """

    differences: tuple[Difference, ...]
    block: float
    level: float
    warnings: tuple[str, ...]


def compare_runs(
    first: RideLog,
    second: RideLog,
    *,
    level: float = 0.95,
    seed: int = 0,
    progress: Callable[[float], None] | None = None,
) -> RunComparison:
    """Compare two runs over the same ground.

    Blocks are three times as long as the travel remembers itself (1 to 20 s), so that neighbouring samples,
    which are alike, do not pass for independent ones.

    Parameters
    ----------
    first, second : RideLog
        Two runs.
    level : float
        Coverage of each interval.
    seed : int
        Of the draws.
    progress : callable, optional
        Told the share done, 0 to 1; may raise to stop.

    Raises
    ------
    InputError
        If a run is shorter than four blocks.
    """
    block = max(_block(first), _block(second))
    sums = [_sums(run, block) for run in (first, second)]
    differences = []
    for i, (name, unit) in enumerate(_FIGURES):
        if progress is not None:
            progress((i + 1) / (len(_FIGURES) + 1))

        def statistic(totals: Array, column: int = i) -> Array:
            return np.asarray(totals[:, column] / totals[:, len(_FIGURES)], dtype=np.float64)

        values = [float(statistic(s.sum(axis=0, keepdims=True))[0]) for s in sums]
        change = difference_of(sums[0], sums[1], statistic, level=level, seed=seed)
        differences.append(
            Difference(name, unit, values[0], values[1], change, not change.low <= 0.0 <= change.high)
        )
    return RunComparison(tuple(differences), block, level, _warnings(first, second, sums))


_FIGURES = (
    ("riding sag", "m"),
    ("mean compression speed", "m/s"),
    ("mean rebound speed", "m/s"),
    ("share of time compressing fast", ""),
    ("share of time rebounding fast", ""),
    ("share of time deep in the travel", ""),
)


def _sums(run: RideLog, block: float) -> Array:
    """Block sums of every figure over riding time, then the riding samples, then all samples."""
    travel, speed, riding = run.motion.travel, run.motion.speed, run.riding.astype(np.float64)
    columns = np.column_stack(
        [
            travel * riding,
            np.maximum(speed, 0.0) * riding,
            np.maximum(-speed, 0.0) * riding,
            (speed > FAST) * riding,
            (speed < -FAST) * riding,
            (travel > DEEP * run.full_travel) * riding,
            riding,
        ]
    )
    sums = block_sums(columns, run.motion.pieces, max(1, round(block * run.motion.rate)))
    return sums[sums[:, len(_FIGURES)] > 0]


def _block(run: RideLog) -> float:
    samples = correlation_length(run.motion.travel, run.motion.pieces)
    return float(np.clip(3.0 * samples / run.motion.rate, SHORTEST_BLOCK, LONGEST_BLOCK))


def _warnings(first: RideLog, second: RideLog, sums: list[Array]) -> tuple[str, ...]:
    words = [
        f"{len(_FIGURES)} figures are compared at once: one of them may look different by chance alone",
        "only two runs are compared: what differs between them may be the line or the rider, not the setting",
    ]
    if min(len(s) for s in sums) < 20:
        words.append("fewer than twenty independent stretches in a run: the intervals are rough")
    longer, shorter = (
        max(first.whole.riding, second.whole.riding),
        min(first.whole.riding, second.whole.riding),
    )
    if longer > 1.25 * shorter:
        words.append("the runs differ in length by more than a quarter: were they over the same ground?")
    return tuple(words)
