"""Hundreds of killed writers, one and several at a time, on the file store."""

from __future__ import annotations

import sys

import pytest
from tests.shop_faults import kill_rounds

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="forks and kills as Linux does"),
    pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning"),
]


def test_three_hundred_kills_lose_nothing_that_was_promised(tmp_path):
    """A writer is killed at a random moment 300 times; all that it was promised is there and sound."""
    assert kill_rounds(tmp_path, 300, seed=2) > 300


def test_killing_three_writers_at_once_loses_nothing(tmp_path):
    """The same with three writers waiting for each other, 60 times."""
    assert kill_rounds(tmp_path, 60, seed=3, writers=3) > 150
