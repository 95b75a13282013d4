"""Searches over rides whose damping is a table's: clicks change nothing then, so none is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.short_course import SHORT

from forkwright.hardware import Bike, Rider, Unit, load, load_unit
from forkwright.ride.course_file import read_course
from forkwright.ride.options import DampingTable, RideOptions
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


def test_nothing_left_to_set_is_refused(fork: Unit, who: tuple[Rider, Bike]) -> None:
    """Without an air spring there is nothing that the rides of a table can tell."""
    bare = fork.model_copy(update={"air_spring": None, "setting": fork.setting.changed(pressure=None)})
    with pytest.raises(InputError, match="no air spring, and the damping is a table's"):
        recommend(bare, *who, [read_course(SHORT)], options=TABLE, workers=1, plan=PLAN, draws=0)
