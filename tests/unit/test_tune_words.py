"""Words: every measure has a human name, and sentences follow the figures, not a template's hope."""

from __future__ import annotations

import numpy as np
import pytest

from forkwright.hardware import load_unit, measures
from forkwright.tune.aim_words import change_words, what_a_step_does
from forkwright.tune.naming import listed, measure_words, setting_words, step_words, value_words
from forkwright.tune.race_plan import StagePlan, StageSetting
from forkwright.tune.recommendation import Effort
from forkwright.tune.stage_days import Case, Stage
from forkwright.tune.stages_words import stages_words
from forkwright.units import UnitChoice

BEFORE = np.array([0.6, 4.0, 0.25, 0.8])


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160"])
def test_every_measure_has_a_name_of_its_own(name: str, demo_dir) -> None:  # type: ignore[no-untyped-def]
    """No path, underscore or doubled space is left, and outside the damper no two measures share a name."""
    paths = list(measures(load_unit(demo_dir / f"{name}.toml")))
    words = [measure_words(path) for path in paths]
    assert not [word for word in words if "_" in word or "." in word or "  " in word or word != word.strip()]
    spring = [measure_words(path) for path in paths if not path.startswith("damper.")]
    assert len(set(spring)) == len(spring)


def test_known_names() -> None:
    """The names a technician would use."""
    assert measure_words("air_spring.negative_volume") == "negative chamber volume"
    assert measure_words("air_spring.bore") == "air spring bore"
    assert measure_words("air_spring.floating.bore") == "floating piston bore"
    assert measure_words("chassis.bushing_spacing") == "bushing spacing"


@pytest.mark.parametrize(
    ("change", "worse", "better"),
    [
        ([0.06, 0.0, 0.0, 0.0], "tyre load 10.0% less steady", ""),
        ([0.0, -0.4, 0.0, 0.0], "", "hands 10.0% calmer"),
        ([0.0, 0.0, 0.01, 0.0], "riding 1.6 mm deeper", ""),
        ([0.0, 0.0, 0.0, -0.1], "", "the biggest event 16.0 mm less deep"),
        ([1e-6, 1e-6, 1e-6, 1e-6], "", ""),
    ],
)
def test_a_change_is_told_by_its_sign_and_size(change: list[float], worse: str, better: str) -> None:
    """Worse and better go to their own lists, sizes are computed, trifles are left out."""
    assert change_words(np.array(change), BEFORE, 0.16) == (worse, better)


def test_a_step_says_what_it_costs_and_brings() -> None:
    """A step with both sides tells both; a refused ride is not called a change."""
    told = what_a_step_does(np.array([0.006, -0.04, 0.0, 0.0]), BEFORE, 0.16)
    assert told == "costs tyre load 1.0% less steady, and brings hands 1.0% calmer"
    assert what_a_step_does(np.zeros(4), BEFORE, 0.16) == "changes nothing worth naming"
    assert what_a_step_does(np.full(4, np.inf), BEFORE, 0.16) == "cannot be ridden"


def test_values_steps_and_settings_in_words(demo_dir) -> None:  # type: ignore[no-untyped-def]
    """Units are the user's, clicks say their sense, and no spacers are told where spacers could be."""
    dunlin = load_unit(demo_dir / "dunlin-160.toml")
    assert value_words("pressure", 6.0e5, UnitChoice(pressure="bar")) == "6.00 bar"
    assert step_words("low_speed", 1, 1.0) == "one click more open"
    assert step_words("pressure", -1, -6894.757) == "1.0 psi less"
    assert "no spacers" in setting_words(dunlin.setting.changed(spacers=0), None, dunlin)
    assert "spacer" not in setting_words(dunlin.setting.changed(spacers=0))
    assert listed(["a"]) == "a"
    assert listed([]) == ""


@pytest.mark.parametrize(
    ("costs", "words"),
    [
        (((0.5, 0.8), (0.4, 0.5)), "most of it, 75%, on one"),
        (((0.5, 0.9), (0.6, 0.5)), "most on one, while two gives a little up for it"),
        (((0.5, 0.5), (0.5, 0.5)), "gains nothing"),
    ],
)
def test_a_races_gain_is_told_by_stage(costs, words: str, demo_dir) -> None:  # type: ignore[no-untyped-def]
    """The share of a gain is never more than all of it: a stage that gives something up is named instead."""
    dunlin = load_unit(demo_dir / "dunlin-160.toml")
    aims = np.array([0.5, 3.0, 0.2, 0.6])
    course = None
    stages = tuple(
        StageSetting(
            Stage(name, course),
            dunlin.setting,
            aims,
            aims[np.newaxis],
            own,
            aims,
            shared,
            np.zeros(1),
            (),  # type: ignore[arg-type]
        )
        for name, (own, shared) in zip(("one", "two"), costs, strict=True)
    )
    plan = StagePlan(
        unit=dunlin, build=dunlin.setting, stages=stages, one_for_all=dunlin.setting,
        gain=sum(shared - own for own, shared in costs), between=("rebound",), fixed=("pressure",),
        cases=(Case("as expected", 1.0, 293.15),), wishes=(), weights=np.ones(4), deepest_allowed=1.0,
        gain_band=None, effort=Effort(1, 2, 60.0, 1.0, 1), warnings=(),
    )  # fmt: skip
    assert any(words in said for said in stages_words(plan).gain)
