"""A ride of one wheel on smooth ground: what flat and sloping ground put on it, against plain statics."""

from __future__ import annotations

import numpy as np
import pytest

import forkwright as fw
from forkwright.bench.standing import standing_sag
from forkwright.ride.course import Course
from forkwright.ride.simulate import RideResult, simulate

WHOLE, G = 82.0 + 15.0, 9.80665
HEIGHT, BASE, FRONT_SHARE = 1.05, 1.24, 0.42
WHEELS = {"front": 3.6, "rear": 3.9}


def smooth(gradient: float = 0.0) -> Course:
    """Sixty metres without a bump at one speed."""
    distance, still = np.linspace(0.0, 60.0, 2001), np.zeros(2001)
    return Course("smooth", distance, still, still + 6.0, still + 1.0, still + gradient)


def ridden(unit: str, gradient: float = 0.0) -> RideResult:
    """Ride a demonstration unit."""
    rider, bike = (fw.load(fw.demo_file(name)) for name in ("rider", "bike"))
    return simulate(fw.load(fw.demo_file(unit)), smooth(gradient), rider=rider, bike=bike)


@pytest.mark.parametrize("unit", ["dunlin-160", "plover-160", "linnet-65", "pipit-65"])
def test_flat_ground_is_ridden_and_nothing_moves(unit: str) -> None:
    """A perfectly flat course is an answer, not a fault: the unit stays where it rests."""
    found = ridden(unit)
    assert np.ptp(found.travel) < 1e-7
    assert found.audit.imbalance < 5e-4


@pytest.mark.parametrize("gradient", [0.3, 0.15, -0.15, -0.3])
@pytest.mark.parametrize(("unit", "end"), [("dunlin-160", "front"), ("linnet-65", "rear")])
def test_a_slope_moves_the_whole_weight_between_the_wheels(unit: str, end: str, gradient: float) -> None:
    """By moments about a contact m g sin(slope) h / b leaves the front wheel, m being the whole mass."""
    slope = np.arctan(gradient)
    sprung = (WHOLE - sum(WHEELS.values())) * (FRONT_SHARE if end == "front" else 1.0 - FRONT_SHARE)
    across = (sprung + WHEELS[end]) * G * np.cos(slope)
    along = WHOLE * G * np.sin(slope) * HEIGHT / BASE
    expected = across - along if end == "front" else across + along
    assert ridden(unit, gradient).tyre_force[-1] == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("unit", ["dunlin-160", "plover-160", "linnet-65", "pipit-65"])
def test_a_ride_starts_at_the_sag_of_the_bench(unit: str) -> None:
    """Where a ride rests and where the bench lets the same rider rest agree, friction aside."""
    rider, bike = (fw.load(fw.demo_file(name)) for name in ("rider", "bike"))
    band = standing_sag(fw.load(fw.demo_file(unit)), rider, bike)
    static = ridden(unit).scores.static_sag_m
    assert band.low < static < band.high
    assert static == pytest.approx(band.middle, abs=0.5e-3)
