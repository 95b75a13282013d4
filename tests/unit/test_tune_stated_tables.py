"""Searches with tables in the place of a damper or a leverage curve.

Clicks change nothing where the damping is a table's, so none is told; a stated leverage serves sag and rides
alike.
"""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path

import numpy as np
import pytest
from tests.short_course import SHORT

from forkwright.hardware import Bike, Rider, Unit, load, load_unit
from forkwright.hardware.leverage import Leverage
from forkwright.ride.course_file import read_course
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.ride.simulate import simulate
from forkwright.tune.recommend import recommend
from forkwright.tune.search import SearchPlan
from forkwright.tune.stage_days import Stage
from forkwright.tune.stages import stages
from forkwright.units import InputError, parse

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
TABLE = RideOptions(damping=DampingTable.linear(450.0, 700.0))
PLAN = SearchPlan(spread=8, rounds=(), centres=1, turns=2)
CLICKS = ("low_speed", "high_speed", "rebound")


@pytest.fixture(scope="module")
def fork() -> Unit:
    """A fork whose rebound stands nearly open, which a search would warn of."""
    found = load_unit(DEMO / "dunlin-160.toml")
    return found.model_copy(update={"setting": found.setting.changed(rebound=12)})


@pytest.fixture(scope="module")
def who() -> tuple[Rider, Bike]:
    """Rider and bike."""
    bike = load(DEMO / "bike.toml")
    assert isinstance(bike, Bike)
    return Rider(name="rider", mass=parse("82 kg", "mass")), bike


def test_no_click_is_recommended(fork: Unit, who: tuple[Rider, Bike]) -> None:
    """Pressure and spacers alone are searched; clicks stand as in the file, and a note says so."""
    course = read_course(SHORT)
    found = recommend(fork, *who, [course], options=TABLE, workers=1, plan=PLAN, draws=0)
    assert [adjuster.name for adjuster in found.adjusters] == ["pressure", "spacers"]
    for option in (found.best, *found.trade_off):
        for name in CLICKS:
            assert getattr(option.setting, name) == getattr(fork.setting, name)
    assert any("clicks stand as in the file" in note for note in found.warnings)
    assert not any("rebound is quick" in note for note in found.warnings)
    ridden = recommend(fork, *who, [course], workers=1, plan=PLAN, draws=0)
    assert {adjuster.name for adjuster in ridden.adjusters} == {"pressure", "spacers", *CLICKS}


def test_no_click_is_turned_between_stages(fork: Unit, who: tuple[Rider, Bike]) -> None:
    """One build serves all stages, and the note says that the clicks are left."""
    race = [Stage(name, read_course(SHORT)) for name in ("first", "second")]
    found = stages(fork, *who, race, options=TABLE, speed_spread=0.0, workers=1, plan=PLAN, draws=0)
    assert found.between == ()
    assert found.fixed == ("pressure", "spacers")
    assert all(one.setting.rebound == 12 for one in found.stages)
    assert any("clicks stand as in the file" in note for note in found.warnings)


def test_what_a_table_leaves_out_is_told(fork: Unit, who: tuple[Rider, Bike]) -> None:
    """Oil, chamber pressures and stretching shims belong to the damper that is not ridden."""
    course = read_course(SHORT)
    asked = replace(TABLE, oil_temperature=300.0, oil_chambers=True, stiffening=True)
    plain, found = (
        simulate(fork, course, rider=who[0], bike=who[1], options=options) for options in (TABLE, asked)
    )
    told = [note for note in found.warnings if note not in plain.warnings]
    assert told == [
        "the damping is that of a table; asked of the damper and left out: an oil temperature, chamber "
        "pressures, stretching shims"
    ]
    np.testing.assert_equal(asdict(found.scores), asdict(plain.scores))


def test_nothing_left_to_set_is_refused(fork: Unit, who: tuple[Rider, Bike]) -> None:
    """Without an air spring there is nothing that the rides of a table can tell."""
    bare = fork.model_copy(update={"air_spring": None, "setting": fork.setting.changed(pressure=None)})
    with pytest.raises(InputError, match="no air spring, and the damping is a table's"):
        recommend(bare, *who, [read_course(SHORT)], options=TABLE, workers=1, plan=PLAN, draws=0)


LEVERAGE = ((0.0, 0.0), (0.05, 0.022), (0.1, 0.0425), (0.15, 0.0615), (0.16, 0.065))


@pytest.fixture(scope="module")
def shock() -> Unit:
    """A rear unit."""
    return load_unit(DEMO / "linnet-65.toml")


def with_curve(bike: Bike, points: tuple[tuple[float, float], ...]) -> Bike:
    """The bike with a leverage curve through points, as its file would state it."""
    written = [{"wheel": f"{wheel * 1e3} mm", "stroke": f"{stroke * 1e3} mm"} for wheel, stroke in points]
    return bike.model_copy(update={"leverage": Leverage.model_validate({"points": written})})


@pytest.mark.parametrize("stated", [LEVERAGE, ((0.0, 0.0), (0.16, 0.065))], ids=["curve", "straight"])
def test_a_stated_leverage_is_that_of_a_bike_which_has_it(
    shock: Unit, who: tuple[Rider, Bike], stated: tuple[tuple[float, float], ...]
) -> None:
    """Sag and rides go through the stated curve, whatever curve the bike has, or none."""
    rider, bike = who
    file = stated if len(stated) > 2 else (stated[0], (0.08, 0.0325), stated[1])
    course, options = read_course(SHORT), RideOptions(leverage=stated)
    expected = recommend(shock, rider, with_curve(bike, file), [course], workers=1, plan=PLAN, draws=0)
    for other in (bike, bike.model_copy(update={"leverage": None})):
        found = recommend(shock, rider, other, [course], options=options, workers=1, plan=PLAN, draws=0)
        assert found.best.setting == expected.best.setting
        np.testing.assert_allclose(found.best.aims, expected.best.aims, rtol=1e-9)


def test_a_fork_has_no_leverage(fork: Unit, who: tuple[Rider, Bike]) -> None:
    """That is the reason told, not a travel that is too short."""
    options = RideOptions(leverage=LEVERAGE)
    with pytest.raises(InputError, match="a fork has no leverage curve"):
        recommend(fork, *who, [read_course(SHORT)], options=options, workers=1, plan=PLAN, draws=0)
    with pytest.raises(InputError, match="a fork has no leverage curve"):
        stages(fork, *who, [Stage("one", read_course(SHORT))], options=options, workers=1, plan=PLAN, draws=0)
