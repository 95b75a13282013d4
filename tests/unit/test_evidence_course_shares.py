"""Which courses make up a logged ride: mixtures are found again, and what they do not show is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from tests.command_line import in_form

from forkwright.evidence.course_shares import course_shares
from forkwright.evidence.importing import import_recording
from forkwright.evidence.ride_log import RideLog, read_ride
from forkwright.ride.scores import SPEED_EDGES, TRAVEL_EDGES
from forkwright.tune.judged import over_courses
from forkwright.tune.recommend import check_courses
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


def test_courses_count_by_their_shares_when_settings_are_judged() -> None:
    """Means follow the shares, the deepest travel does not, and a refused ride of no share spoils none."""
    by_course = np.array([[[1.0, 3.0, 0.2, 0.9], [2.0, 4.0, 0.4, 0.7], [9.0, 9.0, 0.9, 0.8]]])
    alike = over_courses(by_course)
    assert alike[0, 0] == pytest.approx(4.0)
    assert over_courses(by_course, (1 / 3, 1 / 3, 1 / 3)) == pytest.approx(alike)
    found = over_courses(by_course, (0.25, 0.75, 0.0))
    assert found[0] == pytest.approx([1.75, np.sqrt(0.25 * 9 + 0.75 * 16), 0.35, 0.9])
    by_course[0, 2] = np.inf
    assert np.isfinite(over_courses(by_course, (0.25, 0.75, 0.0))[0, :3]).all()
    with pytest.raises(InputError, match="together 1"):
        check_courses([SimpleNamespace(), SimpleNamespace()], (0.5, 0.6))  # type: ignore[list-item]


@pytest.mark.slow
def test_recommend_weighs_the_courses_by_a_log(
    cli: Callable[..., tuple[int, str, str]], demo_dir: Path
) -> None:
    """A log of the kernel's own ride over one course is made up of that course, and the answer says so."""
    status, out, wrong = cli(
        "recommend", demo_dir / "dunlin-160.toml", "--course", "heather-traverse", "--course",
        "peat-hag-descent", "--rider", demo_dir / "rider.toml", "--bike", demo_dir / "bike.toml",
        "--draws", "0", "--log", demo_dir / "logs" / "moor-ride-a.csv", "--json",
    )  # fmt: skip
    assert status == 0, wrong
    answer = in_form("recommend", out)
    shares = {one["course"]: one["share"] for one in answer["log"]["courses"]}
    assert shares["Peat hag descent"] > 0.9
    assert answer["log"]["gap"] < 0.03
