"""One measured ratio, and how times are taken: the best of several repeats disturbs least."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Row:
    """One line of the benchmark table.

    `ratio` is what the target speaks of (its words say whether it should be large or small); `ours` and
    `reference` are in `unit`: seconds or bytes; `met` says whether the target holds in this run.
    """

    name: str
    ours: float
    reference: float
    reference_name: str
    ratio: float
    target: str
    met: bool
    unit: Literal["s", "B"] = "s"


def best_time(work: Callable[[], object], *, repeats: int = 7, at_least: float = 0.02) -> float:
    """Return the seconds one call of `work` takes: the best of `repeats` batches of at least `at_least` s."""
    work()
    count, spent = 1, 0.0
    while spent < at_least:
        start = time.perf_counter()
        for _ in range(count):
            work()
        spent = time.perf_counter() - start
        count *= 2
    count //= 2
    best = spent / count
    for _ in range(repeats - 1):
        start = time.perf_counter()
        for _ in range(count):
            work()
        best = min(best, (time.perf_counter() - start) / count)
    return best


def at_most(name: str, ours: float, limit: float) -> Row:
    """Return a row for a plain time limit (s)."""
    return Row(name, ours, limit, "stated limit", ours / limit, f"at most {limit * 1e3:g} ms", ours <= limit)


def ratio_at_most(name: str, ours: float, reference: float, reference_name: str, limit: float) -> Row:
    """Return a row whose target is ours <= limit * reference."""
    ratio = ours / reference
    return Row(name, ours, reference, reference_name, ratio, f"at most {limit:g} x", ratio <= limit)


def times_faster(name: str, ours: float, reference: float, reference_name: str, factor: float) -> Row:
    """Return a row whose target is reference >= factor * ours."""
    ratio = reference / ours
    return Row(name, ours, reference, reference_name, ratio, f"at least {factor:g} x faster", ratio >= factor)
