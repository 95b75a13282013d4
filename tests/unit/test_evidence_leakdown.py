"""Leak rates with intervals, which way the gas went, and air drawn into the lowers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from forkwright.evidence.ingress import ingress
from forkwright.evidence.leak_law import GAS_CONSTANT, leaked_pressure
from forkwright.evidence.leak_path import which_path
from forkwright.evidence.leakdown import LeakRate, leak_rate
from forkwright.units import InputError

TIME = np.arange(0, 13 * 3600, 1800.0)
VOLUMES = {"positive": 197e-6, "negative": 46e-6, "lower_leg": 285e-6}


def reading(chamber: str, moles_a_second: float, seed: int = 0, noise: float = 300.0) -> LeakRate:
    rng = np.random.default_rng(seed)
    start = 120e3 if chamber == "lower_leg" else 700e3
    pressure = start - moles_a_second * GAS_CONSTANT * 293.15 / VOLUMES[chamber] * TIME
    pressure = pressure + rng.normal(0, noise, TIME.size)
    return leak_rate(TIME, pressure, np.full(TIME.size, 293.15), chamber=chamber, volume=VOLUMES[chamber])


def test_the_interval_covers_the_true_rate_about_as_often_as_it_says() -> None:
    """Of 200 leak-downs with gauge noise, 95 % intervals hold the truth in 90 to 99 %."""
    rng = np.random.default_rng(7)
    true = leaked_pressure(TIME, 700e3, 0.05, 101325.0)
    held = 0
    for _ in range(200):
        leak = leak_rate(TIME, true + rng.normal(0, 500, TIME.size), np.full(TIME.size, 293.15))
        held += leak.rate_low <= 0.05 <= leak.rate_high
    assert 180 <= held <= 198


def test_the_half_life_is_when_half_the_gauge_pressure_is_gone() -> None:
    leak = leak_rate(TIME, leaked_pressure(TIME, 700e3, 1.0, 101325.0), np.full(TIME.size, 293.15))
    at_half = leaked_pressure(np.array([leak.half_life]), 700e3, 1.0, 101325.0)[0]
    assert at_half - 101325 == pytest.approx((700e3 - 101325) / 2, rel=1e-5)


@pytest.mark.parametrize(
    ("flows", "path"),
    [
        ({"positive": 4e-9, "negative": 0.0, "lower_leg": 0.0}, ("positive", "outside")),
        ({"positive": 4e-9, "negative": -4e-9, "lower_leg": 0.0}, ("positive", "negative")),
        ({"positive": 0.0, "negative": 4e-9, "lower_leg": -4e-9}, ("negative", "lower_leg")),
        ({"positive": -4e-9, "negative": 4e-9, "lower_leg": 0.0}, ("negative", "positive")),
    ],
)
def test_three_chambers_name_the_one_path_the_gas_took(
    flows: dict[str, float], path: tuple[str, str]
) -> None:
    verdict = which_path([reading(c, f, seed=i) for i, (c, f) in enumerate(flows.items())])
    assert [(v.source, v.target) for v in verdict.possible] == [path]
    assert verdict.possible[0].flow == pytest.approx(4e-9, rel=0.1)
    assert "look at" in verdict.sentences[0]


def test_one_chamber_alone_cannot_say_where_the_gas_went_and_says_what_to_read() -> None:
    verdict = which_path([reading("positive", 4e-9)])
    assert {v.target for v in verdict.possible} >= {"outside", "negative"}
    assert "read the lower leg and the negative chamber too" in verdict.sentences[-1]


def test_a_tight_unit_and_two_leaks_at_once_are_told_from_one_leak() -> None:
    assert which_path([reading("positive", 0.0), reading("negative", 0.0, 1)]).tight
    both = which_path([reading("positive", 5e-9), reading("negative", 4e-9, 1), reading("lower_leg", 0.0, 2)])
    assert both.possible == ()
    assert "more than one leak" in both.sentences[0]


def test_rounding_of_the_gauge_sets_the_least_noise() -> None:
    flat = np.full(TIME.size, 700e3)
    leak = leak_rate(TIME, flat, np.full(TIME.size, 293.15), gauge_resolution=3447.0)
    assert not leak.shown
    assert leak.rate_std > 0.01


def test_ingress_is_a_line_over_rides_with_its_interval() -> None:
    rides = np.arange(1.0, 9.0)
    rng = np.random.default_rng(3)
    found = ingress(rides, 1500 * rides + rng.normal(0, 200, 8), volume=285e-6)
    assert found.low < 1500 < found.high
    assert found.volume_per_ride == pytest.approx(1500 * 285e-6 / 101325, rel=0.1)
    assert found.rides_to == pytest.approx(20e3 / 1500, rel=0.1)
    assert math.isinf(ingress(rides, rng.normal(0, 200, 8)).rides_to)


@pytest.mark.parametrize(
    ("time", "pressure", "words"),
    [
        ([0.0, 1.0], [7e5, 7e5], "three readings"),
        ([0.0, 1.0, 1.0], [7e5, 7e5, 7e5], "must rise"),
        ([0.0, 1.0, 2.0], [7e5, 7e5, -1.0], "below a vacuum"),
        ([0.0, 1.0, 2.0], [1e5, 1e5, 1e5], "no pressure to lose"),
    ],
)
def test_readings_that_make_no_leak_down_are_refused(
    time: list[float], pressure: list[float], words: str
) -> None:
    with pytest.raises(InputError, match=words):
        leak_rate(np.array(time), np.array(pressure))


def test_what_makes_a_leak_down_doubtful_is_said() -> None:
    short = leak_rate(np.arange(5.0) * 60, 7e5 + np.array([0, 30, 60, 95, 120.0]), np.full(5, 293.15))
    assert any("less than an hour" in w for w in short.warnings)
    assert any("rises" in w for w in short.warnings)
    with pytest.raises(InputError, match="volume"):
        leak_rate(TIME, np.full(TIME.size, 7e5), hose_volume=3e-6)
    with pytest.raises(InputError, match="its volume"):
        which_path([leak_rate(TIME, 7e5 - 0.1 * TIME)])
