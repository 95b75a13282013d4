"""A hundred thousand spoiled unit files and ten thousand strange but allowed ones: an answer, or words."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from tests.fuzz.spoiling import spoiled, strange_but_allowed
from tests.fuzz.unit_files import judge

pytestmark = pytest.mark.slow
UNITS = ("dunlin-160", "plover-160", "linnet-65", "pipit-65")


@pytest.fixture(scope="module")
def texts() -> list[str]:
    folder = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
    return [(folder / f"{name}.toml").read_text("utf-8") for name in UNITS]


@pytest.mark.parametrize("thousand", range(0, 100, 10))
def test_spoiled_unit_files(texts: list[str], thousand: int) -> None:
    """Ten thousand at a time: no traceback, no NaN, nothing clipped in silence, one line for each fault."""
    came: Counter[str] = Counter()
    for seed in range(thousand * 1000, (thousand + 10) * 1000):
        try:
            came += judge(spoiled(texts[seed % len(texts)], seed))
        except Exception as fault:
            fault.add_note(f"tests.fuzz.spoiling.spoiled({UNITS[seed % len(UNITS)]}, {seed})")
            raise
    assert came["refused"] > 2000  # the spoiling spoils,
    assert came["spring answered"] > 1500  # and leaves enough to reach the benches
    assert came["damping answered"] > 1000


@pytest.mark.parametrize("thousand", range(10))
def test_strange_but_allowed_units(texts: list[str], thousand: int) -> None:
    """A thousand at a time with values at the ends of their ranges: the benches answer or say why not."""
    came: Counter[str] = Counter()
    for seed in range(thousand * 1000, (thousand + 1) * 1000):
        try:
            came += judge(strange_but_allowed(texts[seed % len(texts)], seed))
        except Exception as fault:
            fault.add_note(f"tests.fuzz.spoiling.strange_but_allowed({UNITS[seed % len(UNITS)]}, {seed})")
            raise
    assert came["spring answered"] > 300
