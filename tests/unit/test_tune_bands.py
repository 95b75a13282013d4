"""Bands: what the tolerances of the parts leave open of a match, a recommendation, a race and a verdict."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Bike, Rider, Unit, drawn, load_unit, measures, read_text, replaced
from forkwright.ride.course import Course
from forkwright.ride.course_file import read_course
from forkwright.ride.options import RideOptions
from forkwright.ride.pool import RidePool
from forkwright.ride.portion import SweepTask
from forkwright.ride.simulate import simulate
from forkwright.tune.adjuster_band import band_from, moved_words, range_words
from forkwright.tune.compare import compare
from forkwright.tune.damping_verdict import damping_verdict, damping_words
from forkwright.tune.drawn_rides import ridden_by_draws
from forkwright.tune.drawn_spring import drawn_settings
from forkwright.tune.match import match
from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP, nearest_spring
from forkwright.tune.paired_draws import one_by_one, paired
from forkwright.tune.recommend import recommend
from forkwright.tune.search import SearchPlan
from forkwright.tune.spring_grid import yardstick_on
from forkwright.tune.stage_days import Stage
from forkwright.tune.stages import stages
from forkwright.tune.verdict import verdict

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
ROOT = """
format = 1
kind = "course"
name = "one root"
length = "14 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "1 m"
to = "13 m"
class = "D"
longest_wave = "6 m"
seed = 3
[[event]]
kind = "root"
at = "7 m"
height = "60 mm"
width = "80 mm"
"""
LITTLE = SearchPlan(spread=8, rounds=(), centres=1, turns=3)


@pytest.fixture(scope="module")
def root() -> Course:
    return read_course(ROOT)


def exact(name: str) -> Any:
    """A demonstration file with every tolerance taken out."""
    text = (DEMO / f"{name}.toml").read_text("utf-8")
    return read_text(re.sub(r" ± [0-9.]+", "", text), name)


def test_one_part_is_drawn_once(dunlin: Unit, plover: Unit) -> None:
    """A part that is the same in both files of one name has one error; another fork has its own."""
    air = dunlin.air_spring
    assert air is not None
    served = replaced(dunlin, {"air_spring.positive_volume": air.positive_volume.si * 1.01})
    before, after = (measures(unit) for unit in paired(dunlin, served, 50, 3))
    assert np.array_equal(before["air_spring.bore"].si, after["air_spring.bore"].si)
    assert not np.array_equal(before["air_spring.positive_volume"].si, after["air_spring.positive_volume"].si)
    ours, theirs = (measures(unit) for unit in paired(dunlin, plover, 50, 3))
    link = np.corrcoef(np.ravel(ours["air_spring.bore"].si), np.ravel(theirs["air_spring.bore"].si))[0, 1]
    assert abs(link) < 0.5


@pytest.mark.parametrize(("a", "b"), [("plover-160", "dunlin-160"), ("dunlin-160", "plover-160")])
def test_every_draw_gets_the_setting_that_trying_all_finds(a: str, b: str) -> None:
    """The least squares over all draws at once lands where the search over every step of one draw does."""
    one, other = load_unit(DEMO / f"{a}.toml"), load_unit(DEMO / f"{b}.toml")
    target = spring_curve(one)
    setting = nearest_spring(target, other, other.setting).setting  # type: ignore[union-attr]
    judged = yardstick_on(target, other, None)
    many = drawn(other, 6, 4, only=lambda path: path.startswith("air_spring."))
    wanted = np.broadcast_to(judged.wanted, (6, judged.travel.size))
    found = drawn_settings(other, many, setting, judged, wanted, None, PUMP_STEP, SECONDARY_STEP)
    for number, unit in enumerate(one_by_one(many, 6)):
        ours = {name: float(values[number]) for name, values in found.values.items()}
        tried = nearest_spring(target, unit, setting)
        assert tried is not None
        reached = setting.changed(**{k: int(v) if k == "spacers" else v for k, v in ours.items()})
        left = spring_curve(unit, reached, travel=judged.travel).force - judged.wanted
        assert np.sqrt(left**2 @ judged.weight) <= tried.rms * 1.02 + 0.2


def test_without_tolerances_nothing_moves() -> None:
    """Parts known exactly: every draw wants the same setting and leaves the same damping."""
    found = match(exact("dunlin-160"), exact("plover-160"), draws=20, damper_draws=3)
    assert found.bands is not None
    assert found.spring is not None
    for one in found.bands.adjusters:
        assert one.low == one.high, one.adjuster
        assert one.stays == 1.0, one.adjuster
    assert found.bands.damping is not None
    assert found.clicks is not None
    assert found.bands.damping.rms_low == pytest.approx(found.clicks.rms)
    assert found.bands.damping.rms_high == pytest.approx(found.clicks.rms)


def test_a_unit_matched_to_itself_is_itself_whatever_its_errors(dunlin: Unit) -> None:
    """Before and after a service that changed nothing: no setting moves, and nothing is beyond tolerance."""
    found = match(dunlin, dunlin, draws=40, damper_draws=4)
    assert found.bands is not None
    assert all(one.low == one.high for one in found.bands.adjusters)
    assert found.bands.spring is not None
    assert found.bands.spring.beyond == 0.0
    assert found.bands.damping is not None
    assert found.bands.damping.rms_high == pytest.approx(0.0, abs=1e-9)


def test_wider_tolerances_widen_the_band(dunlin: Unit, plover: Unit) -> None:
    """A bore known forty times worse moves the pressure further; the sentence says from where to where."""
    air = dunlin.air_spring
    assert air is not None
    rough = air.model_copy(update={"bore": replace(air.bore, std=air.bore.std * 40)})
    wide = match(plover, dunlin.model_copy(update={"air_spring": rough}), draws=60, damper_draws=2).bands
    usual = match(plover, dunlin, draws=60, damper_draws=2).bands
    assert wide is not None
    assert usual is not None
    widths = [one.adjusters[0].high - one.adjusters[0].low for one in (usual, wide)]
    assert widths[1] > 2.0 * widths[0]
    low, high = (f"{end / PUMP_STEP:.1f} psi" for end in (wide.adjusters[0].low, wide.adjusters[0].high))
    assert f"want pressure {low} to {high}; " in moved_words(wide.adjusters)[0]


def test_no_draws_no_bands(dunlin: Unit, plover: Unit) -> None:
    """Nothing is drawn where no bands are asked for."""
    assert match(dunlin, plover, draws=0).bands is None


def test_bands_in_words() -> None:
    """One value is told once, an end that was looked at last says that it may go on."""
    clicks = band_from("rebound", np.array([4.0, 5.0, 6.0]), 5.0, 0.0, (4.0, 9.0))
    assert range_words(clicks) == "rebound 4 to 6 clicks or beyond"
    assert clicks.stays == pytest.approx(1 / 3)
    assert range_words(band_from("spacers", np.array([2.0, 2.0]), 2.0, 0.0)) == "2 spacers"
    assert moved_words(()) == ()


def test_drawn_rides_are_those_of_the_drawn_parts(
    dunlin: Unit, rider: Rider, bike: Bike, root: Course
) -> None:
    """What a draw is judged by is a plain ride of that fork, rider and bike: no damper is kept by mistake."""
    task = SweepTask(
        dunlin, (root,), ("pressure", "rebound"), rider, bike, Conditions(), RideOptions()
    )  # fmt: skip
    values = np.array([[82 * PUMP_STEP, 5.0]])
    with RidePool(task, 1) as pool:
        judged = ridden_by_draws(pool, values, 2, 7, lambda _: None)
    forks = list(one_by_one(drawn(dunlin, 2, 7), 2))
    people = list(one_by_one(drawn(rider, 2, 8), 2))
    bikes = list(one_by_one(drawn(bike, 2, 9), 2))
    for number in range(2):
        ride = simulate(
            forks[number], root, rider=people[number], bike=bikes[number],
            setting=dunlin.setting.changed(pressure=82 * PUMP_STEP, rebound=5),
        )  # fmt: skip
        assert judged[number].aims[0, 1] == pytest.approx(ride.scores.hand_acceleration_m_s2, rel=1e-9)
    assert judged[0].aims[0, 1] != judged[1].aims[0, 1]


def test_recommendation_has_bands_on_aims_and_settings(
    dunlin: Unit, rider: Rider, bike: Bike, root: Course
) -> None:
    """Bands hold what they must, an adjuster's band holds steps of its own, and rides are counted."""
    found = recommend(dunlin, rider, bike, [root], workers=1, plan=LITTLE, draws=3)
    bands = found.bands
    assert bands is not None
    assert (bands.low <= bands.high).all()
    assert 0.0 <= bands.holds <= 1.0
    assert [one.adjuster for one in bands.adjusters] == [adjuster.name for adjuster in found.adjusters]
    for one, adjuster in zip(bands.adjusters, found.adjusters, strict=True):
        assert one.low <= one.middle <= one.high
        assert np.isin([one.low, one.high], adjuster.values).all()
    assert found.effort.rides == found.effort.settings + bands.settings_ridden


def test_race_gain_has_a_band(dunlin: Unit, rider: Rider, bike: Bike, root: Course) -> None:
    """The gain's band is in order, one share of holding a stage; without tolerances it is the gain itself."""
    race = [Stage("low", root), Stage("high", root, 1500.0)]
    found = stages(dunlin, rider, bike, race, speed_spread=0.0, workers=1, plan=LITTLE, draws=2)
    band = found.gain_band
    assert band is not None
    assert band.holds.shape == (2,)
    assert band.low is not None
    assert band.middle is not None
    assert band.high is not None
    assert band.low <= band.middle <= band.high
    parts = [exact(name) for name in ("dunlin-160", "rider", "bike")]
    sure = stages(*parts, race, speed_spread=0.0, workers=1, plan=LITTLE, draws=1)
    assert sure.gain_band is not None
    assert sure.gain_band.low == pytest.approx(sure.gain, abs=1e-9)


def test_two_settings_of_one_fork_are_told_apart(dunlin: Unit) -> None:
    """One psi lies beyond the tolerances, since the parts are the same, but friction hides it; 15 psi do not.

    The very same fork in two files of different names is not told apart at one psi.
    """
    one, much = (
        dunlin.model_copy(update={"setting": dunlin.setting.changed(pressure=psi * PUMP_STEP)})
        for psi in (84, 70)
    )
    near = verdict(compare(dunlin, one, 400.0, draws=400, damper_draws=2))
    assert near.beyond_tolerance > 0.5
    assert near.beyond_both == 0.0
    far = verdict(compare(dunlin, much, 400.0, draws=400, damper_draws=2))
    assert far.beyond_both > 0.3
    other = one.model_copy(update={"name": "another fork"})
    assert verdict(compare(dunlin, other, 400.0, draws=400, damper_draws=2)).beyond_tolerance < 0.2


def test_dampers_are_told_apart(dunlin: Unit, plover: Unit) -> None:
    """A damper does not differ from itself; one closed by many clicks does; sentences follow."""
    itself = damping_verdict(dunlin, dunlin, draws=4)
    assert itself is not None
    assert itself.beyond_tolerance == itself.beyond_friction == 0.0
    assert damping_words(itself).startswith("Neither")
    closed = damping_verdict(dunlin, dunlin, None, dunlin.setting.changed(low_speed=0, rebound=0), draws=4)
    assert closed is not None
    assert closed.beyond_both > 0.2
    assert "beyond tolerance and friction" in damping_words(closed)
    bare = plover.model_copy(update={"damper": None})
    assert damping_verdict(dunlin, bare) is None
