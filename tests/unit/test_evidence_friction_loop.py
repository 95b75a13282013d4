"""Slow pulls in both directions: friction, spring and energy out of the loop, and bad pulls."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forkwright.evidence.friction_loop import friction_loop
from forkwright.evidence.strokes import directions
from forkwright.units import InputError


def pull(strokes: float = 2.0, amplitude: float = 0.07, n: int = 4000) -> tuple[np.ndarray, np.ndarray]:
    phase = np.linspace(0, 2 * np.pi * strokes, n)
    travel = amplitude * (1 - np.cos(phase))
    return travel, np.sign(np.sin(phase))


@settings(max_examples=25, deadline=None)
@given(
    friction=st.floats(0.0, 60.0),
    rate=st.floats(500.0, 20_000.0),
    curve=st.floats(0.0, 8e4),
    strokes=st.integers(1, 3),
)
def test_spring_and_friction_come_back_whatever_they_were(
    friction: float, rate: float, curve: float, strokes: int
) -> None:
    """Half the difference is friction, the mean the spring, the area twice friction times travel."""
    travel, sign = pull(strokes)
    loop = friction_loop(travel, rate * travel + curve * travel**2 + friction * sign)
    largest = rate * 0.14 + curve * 0.14**2
    assert loop.friction == pytest.approx(friction, abs=2e-4 * largest + 1e-9)
    assert loop.spring == pytest.approx(
        rate * loop.travel + curve * loop.travel**2, abs=4e-4 * largest + 1e-9
    )
    assert loop.energy == pytest.approx(2 * friction * np.ptp(loop.travel), abs=1e-4 * largest + 1e-9)


@pytest.mark.parametrize(("strokes", "samples"), [(2.0, 4000), (1.0, 2000), (1.0, 400), (1.0, 100)])
def test_noise_shows_up_as_the_error_of_the_friction(strokes: float, samples: int) -> None:
    """Over many pulls the friction misses by what its stated error says, with strokes repeated or not."""
    travel, sign = pull(strokes, n=samples)
    rng = np.random.default_rng(1)
    loops = [
        friction_loop(travel, 3000 * travel + 20 * sign + rng.normal(0, 3, travel.size)) for _ in range(60)
    ]
    miss = np.array([loop.friction_mean - 20 for loop in loops])
    stated = np.array([loop.friction_error for loop in loops])
    usual = np.sqrt(np.mean(miss**2))
    assert abs(np.mean(miss)) < 3 * usual / np.sqrt(60)
    assert 0.65 < usual / np.sqrt(np.mean(stated**2)) < 1.5


def test_direction_is_unknown_around_the_turns_and_noise_does_not_make_turns() -> None:
    travel, sign = pull(2.0)
    rng = np.random.default_rng(2)
    found = directions(travel + rng.normal(0, 2e-5, travel.size))
    assert set(np.unique(found)) == {-1, 0, 1}
    assert np.all(found[found != 0] == sign[found != 0])
    assert np.count_nonzero(found == 0) < 0.25 * found.size
    for turn in (1000, 2000, 3000):
        assert np.all(found[turn - 5 : turn + 6] == 0)


def test_a_pull_that_cannot_show_friction_is_refused_or_warned_about() -> None:
    travel, sign = pull(1.0)
    half = travel.size // 2
    with pytest.raises(InputError, match="one way only"):
        friction_loop(travel[:half], 3000 * travel[:half])
    with pytest.raises(InputError, match="hardly moves"):
        friction_loop(travel * 0.01, travel)
    slow = friction_loop(travel, 3000 * travel + 20 * sign, np.linspace(0, 60, travel.size))
    assert slow.warnings == ()
    wrong = friction_loop(travel, 3000 * travel - 20 * sign)
    assert any("wrong way round" in w for w in wrong.warnings)
    fast = friction_loop(travel, 3000 * travel + 20 * sign, np.linspace(0, 1, travel.size))
    assert any("mm/s" in w for w in fast.warnings)


def test_a_spring_that_pushes_less_when_compressed_is_asked_about() -> None:
    """With travel or force counted the other way the loop says so."""
    travel = 0.05 * (1 - np.cos(np.linspace(0, 2 * np.pi, 400)))
    force = 5000 * travel + 10 * np.sign(np.gradient(travel))
    assert not any("falls" in words for words in friction_loop(travel, force).warnings)
    assert any("the force falls" in words for words in friction_loop(travel, -force).warnings)
