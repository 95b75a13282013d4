"""The damping curve as a technician asks for it: clicks, temperature, place, draws and maps."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import forkwright as fw
from forkwright.bench.damper_difference import damper_difference
from forkwright.bench.damper_oil import oil_state
from forkwright.bench.damping import damping_curve
from forkwright.bench.damping_bands import damping_bands
from forkwright.bench.damping_variations import cavitation_map, click_effects
from forkwright.bench.nearest_clicks import nearest_clicks
from forkwright.bench.valve_state import valves_at
from forkwright.hardware import Unit, read_text
from forkwright.physics import Unphysical
from forkwright.units import InputError


def edited(name: str, *changes: tuple[str, str]) -> Unit:
    text = Path(fw.demo_file(name)).read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read_text(text, name)


@pytest.mark.parametrize("name", ["dunlin-160", "plover-160"])
def test_the_curve_is_whole_and_consistent(name: str):
    """201 finite speeds from -5 to 5, force from the chambers, margin from the lowest of them."""
    unit = fw.load(fw.demo_file(name))
    curve = damping_curve(unit)
    assert curve.speed.size == 201
    assert (curve.speed[0], curve.speed[-1]) == (-5.0, 5.0)
    tube, shaft = (math.pi / 4 * size.si**2 for size in (unit.damper.tube, unit.damper.shaft))
    oil = (curve.compression_chamber - 101325) * tube - (curve.shaft_chamber - 101325) * (tube - shaft)
    friction = unit.damper.seal_friction.si * np.sign(curve.speed)
    assert curve.force == pytest.approx(oil + friction, abs=1e-6)
    lowest = np.minimum(np.minimum(curve.compression_chamber, curve.shaft_chamber), curve.reservoir)
    limit = 101325 + unit.damper.oil.parting_pressure.si
    assert curve.cavitation_margin == pytest.approx(lowest - limit)
    assert np.all(np.diff(curve.force) > 0)
    assert sum(curve.by_path.values()) == pytest.approx(curve.force, rel=1e-9)


def test_every_click_closed_stiffens_its_own_direction(dunlin: Unit, plover: Unit):
    """No click towards closed softens its own direction; from open to closed the fast force gains a tenth."""
    for unit in (dunlin, plover):
        for adjuster, most in unit.damper.click_ranges().items():
            speed = [-0.5, -2.0] if adjuster == "rebound" else [0.5, 2.0]
            forces = [
                np.abs(damping_curve(unit, unit.setting.changed(**{adjuster: n}), speeds=speed).force)
                for n in range(most + 1)
            ]
            assert np.all(np.diff(forces, axis=0) <= 1e-3), adjuster
            assert forces[0][1] > 1.1 * forces[-1][1], adjuster


def test_high_speed_adjusters_act_where_their_kind_acts(dunlin: Unit, plover: Unit):
    """A fulcrum's click grows with speed; a preload's click, past cracking, hardly does."""

    def gain(unit: Unit, clicks: int) -> np.ndarray:
        pair = [
            damping_curve(unit, unit.setting.changed(high_speed=n), speeds=[1.0, 4.0]).force
            for n in (clicks, clicks - 1)
        ]
        return pair[1] - pair[0]

    fulcrum, preload = gain(dunlin, 4), gain(plover, 3)
    assert fulcrum[1] > 3 * fulcrum[0] > 0
    assert preload[1] == pytest.approx(preload[0], rel=0.2)


def test_click_effects_equal_the_difference_of_two_curves(dunlin: Unit):
    """Both ways, at ten speeds; the click beyond the end is left out."""
    setting = dunlin.setting.changed(low_speed=0)
    effects = click_effects(dunlin, setting)
    assert {(e.adjuster, e.step) for e in effects if e.adjuster == "low_speed"} == {("low_speed", 1)}
    one = next(e for e in effects if e.adjuster == "rebound" and e.step == 1)
    assert one.speed.tolist() == [-4.0, -2.0, -1.0, -0.5, -0.1, 0.1, 0.5, 1.0, 2.0, 4.0]
    before = damping_curve(dunlin, setting, speeds=one.speed).force
    after = damping_curve(dunlin, setting.changed(rebound=7), speeds=one.speed).force
    assert one.force_change == pytest.approx(after - before)


def test_warm_oil_damps_less_where_it_creeps(dunlin: Unit):
    """Low-speed force falls with viscosity; where the square law rules it hardly changes."""
    cold, warm = (damping_curve(dunlin, None, t, [0.02, 4.0]) for t in (278.15, 333.15))
    bleed = [curve.by_path["base bleed"] + curve.by_path["piston bleed"] for curve in (cold, warm)]
    assert bleed[1][0] < 0.8 * bleed[0][0]
    assert warm.force[1] == pytest.approx(cold.force[1], rel=0.1)


def test_the_reservoir_stands_where_the_travel_is(dunlin: Unit):
    """Deeper in the travel the reservoir pushes more; outside the travel is refused."""
    shallow, deep = (damping_curve(dunlin, speeds=[0.0], position=x).reservoir[0] for x in (0.0, 0.16))
    rate = dunlin.damper.reservoir
    area = math.pi / 4 * rate.bore.si**2
    shaft = math.pi / 4 * dunlin.damper.shaft.si**2
    assert deep - shallow == pytest.approx(rate.rate.si * shaft * 0.16 / area**2)
    with pytest.raises(InputError, match="outside the travel"):
        damping_curve(dunlin, position=0.2)


@pytest.mark.parametrize("place", [{"position": 0.02}, {"ambient_pressure": 7e4}])
def test_all_that_is_told_of_a_damper_stands_at_the_same_place(dunlin: Unit, place: dict[str, float]):
    """Valves at one speed, a row of the map and the bands move with position and height as the curve does."""
    curve = damping_curve(dunlin, speeds=[-1.0, 2.0], **place)
    usual = damping_curve(dunlin, speeds=[-1.0, 2.0])
    assert np.all(np.abs(curve.cavitation_margin - usual.cavitation_margin) > 100.0)
    at = valves_at(dunlin, 2.0, **place)
    assert at.force == pytest.approx(curve.force[1], rel=1e-9)
    assert at.chambers["reservoir"] == pytest.approx(curve.reservoir[1], rel=1e-9)
    field = cavitation_map(dunlin, "rebound", speeds=[-1.0, 2.0], **place)
    assert field.margin[dunlin.setting.rebound] == pytest.approx(curve.cavitation_margin, rel=1e-9)
    bands = damping_bands(dunlin, speeds=[-1.0, 2.0], draws=20, fields=("reservoir",), **place)
    shifted = damping_bands(dunlin, speeds=[-1.0, 2.0], draws=20, fields=("reservoir",))
    moved = bands["reservoir"].low - shifted["reservoir"].low
    assert moved == pytest.approx(curve.reservoir - usual.reservoir, rel=0.2)


def test_cavitation_is_named_with_its_speed(plover: Unit):
    """The demo's rebound loses its margin near the speed that is told; without charge much earlier."""
    curve = damping_curve(plover)
    compression, rebound = curve.margin_lost
    assert compression is None
    assert rebound is not None
    at_loss = damping_curve(plover, speeds=[-rebound]).cavitation_margin[0]
    assert abs(at_loss) < 0.02e5
    assert any("cavitates in rebound" in warning for warning in curve.warnings)
    field = cavitation_map(plover, "rebound", speeds=[-5.0, -3.0, 1.0])
    assert field.margin.shape == (15, 3)
    assert field.margin[0, 0] < 0 < field.margin[0, 1]
    with pytest.raises(InputError, match="no such adjuster"):
        cavitation_map(plover, "preload")


def test_a_circuit_with_no_path_says_so():
    """Needle shut, no bleed, no shims: the message names the valve instead of dividing by it."""
    text = Path(fw.demo_file("plover-160")).read_text("utf-8")
    start, end = text.index("[damper.rebound_valve]"), text.index("[damper.mid_valve]")
    unit = read_text(text[:start] + "[damper.rebound_valve]\n" + text[end:].replace("rebound = 7", ""), "x")
    with pytest.raises(Unphysical, match="rebound valve is closed: there is no path for the oil"):
        damping_curve(unit, speeds=[-1.0])
    assert damping_curve(unit, speeds=[1.0]).force[0] > 0


def test_shims_past_yield_are_named():
    """A soft steel yields, and the curve says which valve and from which speed."""
    unit = edited("plover-160", ('{ value = "1.7 GPa"', '{ value = "0.2 GPa"'))
    assert any(
        "rebound valve: a shim passes its yield stress from about" in w for w in damping_curve(unit).warnings
    )


def test_unset_clicks_are_taken_in_the_middle_and_said():
    """No click is assumed in silence."""
    unit = edited("dunlin-160", ("low_speed = 8 ", "# low_speed = 8 "))
    curve = damping_curve(unit, speeds=[1.0])
    assert curve.clicks["low_speed"] == 8
    assert any("low_speed clicks are not set" in warning for warning in curve.warnings)


def test_thin_oil_outside_the_law_is_named(dunlin: Unit):
    """Below 2 cSt the Walther line is stretched, and that is said."""
    hot, warnings = oil_state(dunlin.damper.oil, 453.15)
    assert hot.viscosity > 0
    assert "holds above 2 cSt" in warnings[0]


@pytest.mark.parametrize("speeds", [[], [math.nan], [1e3], [[1.0, 2.0]]])
def test_unusable_speeds_are_refused(dunlin: Unit, speeds):
    """Empty, not a number, absurd or two-dimensional."""
    with pytest.raises(InputError, match="speeds"):
        damping_curve(dunlin, speeds=speeds)


def test_a_unit_without_damper_is_refused():
    """No [damper] table: no curve."""
    text = Path(fw.demo_file("dunlin-160")).read_text("utf-8")
    bare = text[: text.index("[damper]")] + '[setting]\npressure = "85 psi"\nspacers = 2\n'
    with pytest.raises(InputError, match="no damper"):
        damping_curve(read_text(bare, "bare"))


def test_bands_hold_the_curve_and_repeat(dunlin: Unit):
    """The undrawn curve lies within the band; one seed, one band; wider tolerances, wider band."""
    speeds = [-1.0, 0.1, 1.0]
    shares: list[float] = []
    band = damping_bands(dunlin, speeds=speeds, draws=40, progress=shares.append)["force"]
    again = damping_bands(dunlin, speeds=speeds, draws=40)["force"]
    assert np.array_equal(band.low, again.low)
    force = damping_curve(dunlin, speeds=speeds).force
    assert np.all((band.low < force) & (force < band.high))
    assert shares[-1] == 1.0
    tube = replace(dunlin.damper.tube, std=dunlin.damper.tube.std * 60)
    rough = dunlin.model_copy(update={"damper": dunlin.damper.model_copy(update={"tube": tube})})
    wide = damping_bands(rough, speeds=speeds, draws=40)["force"]
    assert np.all(wide.high - wide.low > 2.0 * (band.high - band.low))


def test_nearest_clicks_find_a_damper_in_itself(plover: Unit):
    """Put out of place, the clicks come back and nothing remains."""
    away = plover.setting.changed(low_speed=1, high_speed=5, rebound=2)
    found = nearest_clicks(plover, plover, None, away)
    assert found.clicks == {"low_speed": 6, "high_speed": 3, "rebound": 7}
    assert found.rms == pytest.approx(0.0, abs=1e-9)
    assert found.before > 10.0


def test_two_different_dampers_are_apart(dunlin: Unit, plover: Unit):
    """Where the bands do not touch is told; a damper is not apart from itself."""
    found = damper_difference(dunlin, plover, speeds=[0.1, 1.0], draws=15)
    assert found.apart.tolist() == [True, True]
    assert not damper_difference(dunlin, dunlin, speeds=[0.1, 1.0], draws=15).apart.any()
