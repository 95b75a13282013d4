"""Run every benchmark file and print one table: what, ours, the reference of the same run, ratio, target.

`python -m benchmarks spring ride` runs only those files. Each run adds a line to build/bench/history.jsonl
and redraws build/bench/history.html.
"""

from __future__ import annotations

import importlib
import json
import sys
import time
from pathlib import Path

from benchmarks.history import write_page
from benchmarks.rows import Row

HERE = Path(__file__).parent
OUT = HERE.parent / "build" / "bench"


def main(wanted: list[str]) -> int:
    """Measure, print, keep; return 1 if any target is missed."""
    names = sorted(path.stem for path in HERE.glob("bench_*.py"))
    chosen = [name for name in names if not wanted or name.removeprefix("bench_") in wanted]
    rows: list[Row] = []
    for name in chosen:
        print(f"measuring {name.removeprefix('bench_')} ...", file=sys.stderr, flush=True)
        rows += importlib.import_module(f"benchmarks.{name}").measure()
    print(table(rows))
    OUT.mkdir(parents=True, exist_ok=True)
    with (OUT / "history.jsonl").open("a", encoding="utf-8") as history:
        history.writelines(json.dumps({"at": int(time.time())} | vars(row)) + "\n" for row in rows)
    write_page(OUT)
    return 0 if all(row.met for row in rows) else 1


def table(rows: list[Row]) -> str:
    """Return the rows as a Markdown table."""
    lines = ["| what | ours | reference | ratio | target | met |", "|---|---|---|---|---|---|"]
    lines += [
        f"| {row.name} | {_time(row.ours)} | {_time(row.reference)} ({row.reference_name}) "
        f"| {row.ratio:.3g} | {row.target} | {'yes' if row.met else 'NO'} |"
        for row in rows
    ]
    return "\n".join(lines)


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if abs(seconds) >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
