"""Fixtures every test may use: the check ledger that feeds the validation page, and the demo files."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import hypothesis
import pytest

from forkwright.hardware import Bike, Rider, Unit, load, load_unit

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "src" / "forkwright" / "demo"

# Times vary with the machine, so no example has a deadline; under CI the examples are the same at every run.
hypothesis.settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
hypothesis.settings.load_profile("house")


@pytest.fixture
def check(request: pytest.FixtureRequest) -> Iterator[Callable[..., None]]:
    """Assert one published number and record the row for the validation page.

    ``check(formula=..., source=..., expected=..., got=..., tolerance=..., unit=..., relative=True)``
    fails when ours is further from the source than `tolerance` (a share of `expected`, or absolute with
    ``relative=False``). Rows are written to the folder named by FORKWRIGHT_CHECK_LEDGER, if it is set.
    """
    rows: list[dict[str, object]] = []

    def assert_and_record(
        *,
        formula: str,
        source: str,
        expected: float,
        got: float,
        tolerance: float,
        unit: str = "",
        relative: bool = True,
    ) -> None:
        expected, got = float(expected), float(got)
        difference = got - expected
        allowed = tolerance * abs(expected) if relative else tolerance
        rows.append(
            {
                "formula": formula,
                "source": source,
                "expected": expected,
                "got": got,
                "difference": difference,
                "allowed": allowed,
                "unit": unit,
                "test": request.node.nodeid,
            }
        )
        assert math.isfinite(got), f"{formula}: not a number ({got})"
        assert abs(difference) <= allowed, (
            f"{formula}: {got:.9g} {unit}, {source} gives {expected:.9g} (allowed difference {allowed:.3g})"
        )

    yield assert_and_record
    ledger = os.environ.get("FORKWRIGHT_CHECK_LEDGER")
    if ledger and rows:
        folder = Path(ledger)
        folder.mkdir(parents=True, exist_ok=True)
        with (folder / f"rows-{os.getpid()}.jsonl").open("a", encoding="utf-8") as out:
            out.writelines(json.dumps(row) + "\n" for row in rows)


@pytest.fixture
def demo_dir() -> Path:
    """Where the demo forks, riders, bikes and courses lie (inside the package, so that a wheel has them)."""
    return DEMO


@pytest.fixture(scope="session")
def dunlin() -> Unit:
    """The demonstration fork with spacers. Hardware cannot be changed, so all tests share it."""
    return load_unit(DEMO / "dunlin-160.toml")


@pytest.fixture(scope="session")
def plover() -> Unit:
    """The demonstration fork with a floating piston."""
    return load_unit(DEMO / "plover-160.toml")


@pytest.fixture(scope="session")
def rider() -> Rider:
    """The demonstration rider."""
    return load(DEMO / "rider.toml")


@pytest.fixture(scope="session")
def bike() -> Bike:
    """The demonstration bike."""
    return load(DEMO / "bike.toml")


@pytest.fixture
def cli(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Run the command line in this process: ``cli("sag", path)`` gives (exit status, stdout, stderr)."""
    from forkwright.cli import main

    def run(*arguments: object) -> tuple[int, str, str]:
        capsys.readouterr()
        status = 0
        try:
            main([str(argument) for argument in arguments])
        except SystemExit as end:
            status = int(end.code or 0)
        out, err = capsys.readouterr()
        return status, out, err

    return run
