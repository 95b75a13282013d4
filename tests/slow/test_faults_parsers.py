"""Every reader of something from outside, fed with spoiled files by chance: an answer or words, and soon."""

from __future__ import annotations

import time

import pytest
from tests.fuzz.byte_faults import spoiled_bytes
from tests.fuzz.parsers import TARGETS, attempt, seeds

pytestmark = pytest.mark.slow
COUNT = {
    "parquet": 150, "shop": 1000, "csv": 3000, "course": 3000, "shop-toml": 800, "shop-tables": 1000,
    "trial-folder": 1500, "backup": 1500, "backup-part": 100, "profile": 3000,
}  # fmt: skip
SOON = 20.0  # s; a small file must not hold anybody up longer, whatever stands in it


@pytest.mark.parametrize("target", TARGETS)
def test_spoiled_files_end_in_words(target: str) -> None:
    """A hundred to five thousand spoiled texts or files for each reader, each from its seed."""
    sound, count = seeds(target), COUNT.get(target, 5000)
    assert all(attempt(target, data) for data in sound), "a sound one is refused"
    answered = 0
    for seed in range(count):
        data = spoiled_bytes(sound[seed % len(sound)], seed)
        assert data != sound[seed % len(sound)]
        start = time.monotonic()
        try:
            answered += attempt(target, data)
        except Exception as fault:
            fault.add_note(
                f"tests.fuzz.byte_faults.spoiled_bytes(seeds({target!r})[...], {seed}): {data!r:.500}"
            )
            raise
        assert time.monotonic() - start < SOON, f"seed {seed} took too long"
    assert 0 < answered < 0.9 * count  # the spoiling spoils, and leaves something to answer
