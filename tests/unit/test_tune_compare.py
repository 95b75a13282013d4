"""Comparing two units: nearest settings are exact over the steps there are, bands judge differences."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Unit, check_setting, load_unit, replaced
from forkwright.tune.compare import compare
from forkwright.tune.match import match
from forkwright.tune.nearest_spring import PUMP_STEP, nearest_spring, pressure_for_sag

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"


def test_a_unit_is_nearest_to_itself_with_its_own_setting(dunlin: Unit) -> None:
    """Searching the same unit finds the setting it had, with nothing left over."""
    setting = dunlin.setting.changed(pressure=77 * PUMP_STEP, spacers=3)
    found = nearest_spring(spring_curve(dunlin, setting), dunlin, dunlin.setting)
    assert found is not None
    assert found.setting.spacers == 3
    assert found.setting.pressure is not None
    assert found.setting.pressure.si == pytest.approx(77 * PUMP_STEP)
    assert found.rms < 1e-6


def test_nearest_agrees_with_brute_force(dunlin: Unit, plover: Unit) -> None:
    """No whole-psi pressure and spacer count is nearer than the one returned."""
    target = spring_curve(plover)
    found = nearest_spring(target, dunlin, dunlin.setting)
    assert found is not None

    def error(pressure: float, spacers: int) -> float:
        setting = dunlin.setting.changed(pressure=pressure, spacers=spacers)
        curve = spring_curve(dunlin, setting, travel=found.travel)
        wanted = np.interp(found.travel, target.travel, target.force)
        return float(np.sqrt((curve.force - wanted) ** 2 @ found.weight))

    best = min(error(n * PUMP_STEP, s) for n in range(60, 121) for s in range(7))
    assert found.rms == pytest.approx(best, rel=1e-9)


def test_secondary_search_agrees_with_brute_force(dunlin: Unit, plover: Unit) -> None:
    """The coarse-then-fine search of the secondary pressure is at least as good as a full coarse grid."""
    target = spring_curve(dunlin)
    found = nearest_spring(target, plover, plover.setting)
    assert found is not None
    wanted = np.interp(found.travel, target.travel, target.force)
    errors = [
        float((spring_curve(plover, plover.setting.changed(pressure=p * PUMP_STEP, floating=s * PUMP_STEP),
                            travel=found.travel).force - wanted) ** 2 @ found.weight)
        for p in range(112, 132, 2) for s in range(150, 301, 25)
    ]  # fmt: skip
    assert found.rms**2 <= min(errors) + 1e-9


@given(bore=st.floats(0.025, 0.033), volume=st.floats(180e-6, 260e-6), pressure=st.integers(40, 119))
@settings(max_examples=8, deadline=None)
def test_nearest_is_always_admissible(bore: float, volume: float, pressure: int) -> None:
    """Whatever the target, the setting keeps every limit, whole spacers and the pump's resolution."""
    unit = load_unit(DEMO / "dunlin-160.toml")
    target = replaced(unit, {"air_spring.bore": bore, "air_spring.positive_volume": volume})
    curve = spring_curve(target, target.setting.changed(pressure=pressure * PUMP_STEP, spacers=1))
    found = nearest_spring(curve, unit, unit.setting)
    assert found is not None
    check_setting(unit, found.setting)
    assert found.setting.pressure is not None
    steps = found.setting.pressure.si / PUMP_STEP
    assert abs(steps - round(steps)) < 1e-6


def test_equal_sag_pressure_is_the_nearest_step(plover: Unit) -> None:
    """No neighbouring pump step sags nearer to the wanted sag."""
    found = pressure_for_sag(plover, plover.setting, 333.0, 0.035, side_load=150.0)
    assert found is not None
    assert found.pressure is not None
    best = abs(sag(plover, 333.0, found, side_load=150.0).middle - 0.035)
    for step in (-1, 1):
        other = found.changed(pressure=found.pressure.si + step * PUMP_STEP)
        assert abs(sag(plover, 333.0, other, side_load=150.0).middle - 0.035) >= best
    assert pressure_for_sag(plover, plover.setting, 9000.0, 0.01) is None


def test_identical_units_do_not_differ(dunlin: Unit) -> None:
    """Comparing a unit with itself, no stretch of travel is called different."""
    both = compare(dunlin, dunlin, 333.0, draws=400)
    assert both.difference.stretches == ()
    assert np.all(both.difference.force == 0.0)
    assert both.nearest is not None
    assert both.nearest.rms < 1e-6


def test_a_clear_difference_is_called_one(dunlin: Unit, plover: Unit) -> None:
    """Where the bands part, the stretch is named, and the band's edges have one sign there."""
    both = compare(dunlin, plover, 333.0, draws=400)
    assert both.difference.stretches
    beyond = both.difference.beyond
    band = both.difference.band
    assert np.all((band.low[beyond] > 0) | (band.high[beyond] < 0))


def test_step_effects_match_a_recomputed_step(dunlin: Unit) -> None:
    """One spacer's effect is the difference of two bench readings."""
    both = compare(dunlin, dunlin, 333.0, draws=400)
    spacer = next(step for step in both.a.steps if step.what == "spacer")
    more = spring_curve(dunlin, dunlin.setting.changed(spacers=3)).force[-1] - spring_curve(dunlin).force[-1]
    assert spacer.end_force == pytest.approx(more, rel=1e-9)


def test_midstroke_support_is_its_definition(dunlin: Unit) -> None:
    """Midstroke support is the force at 50 % over the force at 30 % of travel."""
    both = compare(dunlin, dunlin, 333.0, draws=400)
    at = spring_curve(dunlin, travel=np.array([0.048, 0.080])).force
    assert both.a.figures.midstroke_support == pytest.approx(at[1] / at[0], rel=1e-6)


def test_at_the_highest_pressure_the_step_goes_down(dunlin: Unit) -> None:
    """At the end of what any pump is asked for, one step less is told, as at a unit's own limit."""
    assert dunlin.air_spring is not None
    limitless = dunlin.air_spring.model_copy(update={"pressure_limit": None})
    full = dunlin.setting.changed(pressure="1000 psi")
    both = compare(
        dunlin.model_copy(update={"air_spring": limitless, "setting": full}), dunlin, 333.0, draws=2
    )
    assert [step.step for step in both.a.steps if step.what == "pressure"] == [-PUMP_STEP]


def test_a_part_that_does_not_fit_explains_nothing(dunlin: Unit) -> None:
    """Where the other's part would be impossible, the match is answered and that part is not named."""
    short = replaced(
        dunlin,
        {
            "travel": 1e-3, "air_spring.positive_volume": 2e-6, "air_spring.negative_volume": 3e-7,
            "air_spring.transfer": 5e-5, "bumpers.bottom_out.length": 3e-4,
        },
    ).model_copy(update={"setting": dunlin.setting.changed(spacers=0)})  # fmt: skip
    found = match(dunlin, short, draws=0)
    assert found.reasons
    assert "negative chamber" not in [reason.part for reason in found.reasons]
