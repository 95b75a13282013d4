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

PREFIXES = {
    "s": (("", 1.0), ("m", 1e-3), ("µ", 1e-6), ("n", 1e-9)),
    "B": (("G", 1e9), ("M", 1e6), ("k", 1e3), ("", 1.0)),
}
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
        f"| {row.name} | {shown(row.ours, row.unit)} "
        f"| {shown(row.reference, row.unit)} ({row.reference_name}) "
        f"| {row.ratio:.3g} | {row.target} | {'yes' if row.met else 'NO'} |"
        for row in rows
    ]
    return "\n".join(lines)


def shown(value: float, unit: str) -> str:
    """Return a time or an amount of memory with the prefix that suits it.

    Examples
    --------
    >>> shown(0.0042, "s"), shown(3.29e8, "B")
    ('4.2 ms', '329 MB')
    """
    prefixes = PREFIXES[unit]
    prefix, size = next((one for one in prefixes if abs(value) >= one[1]), prefixes[-1])
    return f"{value / size:.3g} {prefix}{unit}"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
