"""Which courses make up a logged ride: mixtures are found again, and what they do not show is said."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from forkwright.evidence.course_shares import course_shares
from forkwright.evidence.recording import import_recording
from forkwright.evidence.ride_log import RideLog, read_ride
from forkwright.ride.scores import SPEED_EDGES, TRAVEL_EDGES
from forkwright.units import InputError


@pytest.fixture
def log(demo_dir: Path) -> RideLog:
    """A demonstration log, of which the tests replace the histograms."""
    return read_ride(import_recording(demo_dir / "logs" / "moor-ride-b.csv"), 0.16)


def scores(seed: int, deepest: float = 0.15) -> Any:
    """Histograms of an invented ride."""
    rng = np.random.default_rng(seed)
    travel, speed = (rng.dirichlet(np.ones(n)) for n in (TRAVEL_EDGES.size - 1, SPEED_EDGES.size + 1))
    return SimpleNamespace(travel_share=travel, speed_share=speed, greatest_travel_m=deepest)


def mixed(log: RideLog, rides: list[Any], shares: list[float]) -> RideLog:
    """The log with the histograms of a mixture."""
    used = replace(
        log.whole.used,
        travel_share=sum(s * ride.travel_share for s, ride in zip(shares, rides, strict=True)),
        speed_share=sum(s * ride.speed_share for s, ride in zip(shares, rides, strict=True)),
    )
    return replace(log, whole=replace(log.whole, used=used))


def test_a_mixture_is_found_again(log: RideLog) -> None:
    """A log made of three rides gives back their shares, and nothing is left over."""
    rides = [scores(seed) for seed in (1, 2, 3)]
    found = course_shares(mixed(log, rides, [0.2, 0.0, 0.8]), rides, ("a", "b", "c"))
    assert found.shares == pytest.approx([0.2, 0.0, 0.8], abs=1e-6)
    assert found.shares.sum() == pytest.approx(1.0)
    assert found.gap < 1e-6
    assert found.alone[1] > found.alone[2] > found.gap


def test_one_course_has_all_of_it_however_poor(log: RideLog) -> None:
    """With one course its share is one; that it is no likeness of the ride is said."""
    found = course_shares(log, [scores(5, deepest=0.1)], ("a",))
    assert found.shares == pytest.approx([1.0])
    assert found.gap == pytest.approx(found.alone[0])
    assert any("do not make up the logged ride" in words for words in found.warnings)
    assert any("a margin of" in words for words in found.warnings)


def test_a_ride_for_each_course_is_needed(log: RideLog) -> None:
    """No course, or names without rides, are refused."""
    with pytest.raises(InputError, match="for each course"):
        course_shares(log, [], ())
