"""Hunt faults in one reader for a while: ``python -m tests.fuzz csv --seconds 60``.

``python -m tests.fuzz units --count 100000`` takes that many spoiled unit files through readers and benches,
``allowed-units`` files whose every value is within its range; both go on after a fault and count.
With `atheris` installed the hunt is led by which branches the input reaches; without it, by chance alone.
What fails is printed as bytes, to be kept in tests/unit/test_faults_found.py.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from contextlib import nullcontext
from pathlib import Path
from typing import Any

MANY = {"units": "spoiled", "allowed-units": "allowed"}


def main() -> int:
    """Read the command line and hunt."""
    atheris = None if "--plain" in sys.argv else _atheris()
    watched = atheris.instrument_imports(include=["forkwright", "tomllib"]) if atheris else nullcontext()
    with watched:
        from tests.fuzz.many_units import hunt
        from tests.fuzz.parsers import TARGETS

    reader = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    reader.add_argument("target", choices=[*sorted(TARGETS), *MANY])
    reader.add_argument("--seconds", type=float, default=60.0)
    reader.add_argument("--seed", type=int, default=0, help="where chance begins")
    reader.add_argument("--count", type=int, default=1000, help="files, for units and allowed-units")
    reader.add_argument("--plain", action="store_true", help="by chance alone, even with atheris")
    asked = reader.parse_args()
    if asked.target in MANY:
        return 1 if hunt(MANY[asked.target], asked.seed, asked.count) else 0
    if atheris is None:
        return by_chance(asked.target, asked.seconds, asked.seed)
    return led(atheris, asked.target, asked.seconds)


def _atheris() -> Any:
    try:
        import atheris  # type: ignore[import-not-found]
    except ImportError:
        return None
    return atheris


def by_chance(target: str, seconds: float, seed: int) -> int:
    """Spoil the seeds at random until the time is up; stop at the first fault."""
    from tests.fuzz.byte_faults import spoiled_bytes
    from tests.fuzz.parsers import attempt, seeds

    sound, end, start = seeds(target), time.monotonic() + seconds, seed
    while time.monotonic() < end:
        data = spoiled_bytes(sound[seed % len(sound)], seed)
        try:
            attempt(target, data)
        except Exception:
            print(f"{target}, seed {seed}: {data!r:.2000}", file=sys.stderr)
            raise
        seed += 1
    print(f"{target}: {seed - start} texts, no fault")
    return 0


def led(atheris: Any, target: str, seconds: float) -> int:
    """Let the reached branches lead; our own modules are watched."""
    from tests.fuzz.parsers import attempt, seeds

    with tempfile.TemporaryDirectory() as folder:
        for number, data in enumerate(seeds(target)):
            (Path(folder) / f"seed-{number}").write_bytes(data)
        options = [sys.argv[0], f"-max_total_time={seconds:.0f}", "-max_len=20000", "-timeout=60", folder]
        atheris.Setup(options, lambda data: attempt(target, data))
        atheris.Fuzz()
    return 0


if __name__ == "__main__":
    sys.exit(main())
