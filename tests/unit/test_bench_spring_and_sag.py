"""The spring bench: variants, friction, sag bands, tolerance bands."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from forkwright.bench.bands import band_of, sag_bands, spring_bands
from forkwright.bench.checks import remarks
from forkwright.bench.hose import hose_readings
from forkwright.bench.loads import fork_load
from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Bike, Rider, Unit, load, read_text, replaced, to_text
from forkwright.physics import Unphysical
from forkwright.units import InputError


def variant(unit: Unit, air: str, setting: str) -> Unit:
    """Return the unit with lines put into its air spring and its setting tables."""
    text = to_text(unit)
    text = text.replace('negative = "transfer"\n', "").replace("[air_spring]\n", f"[air_spring]\n{air}\n", 1)
    return read_text(text.replace("[setting]\n", f"[setting]\n{setting}\n", 1))  # type: ignore[return-value]


def test_force_includes_every_part(dunlin: Unit) -> None:
    """Air, both lower legs and the bumper add up to the force (own closed forms)."""
    curve = spring_curve(dunlin)
    area, negative = np.pi / 4 * 0.032**2, np.pi / 4 * (0.032**2 - 0.01**2)
    air = (curve.positive - 101325) * area - (curve.negative - 101325) * negative
    damper_shaft = dunlin.damper.shaft.si if dunlin.damper else 0.0
    legs = (curve.lower_leg - 101325) * np.pi / 4 * (0.036**2 - 0.01**2) + (
        curve.lower_leg_damper - 101325
    ) * np.pi / 4 * (0.036**2 - damper_shaft**2)
    bumper = 40_000 * np.maximum(curve.travel - 0.150, 0.0)
    np.testing.assert_allclose(curve.force, air + legs + bumper, rtol=1e-9)


def test_travel_axis_and_options(dunlin: Unit) -> None:
    """Points are even from 0 to full travel; given travels are used; odd exponents are refused."""
    curve = spring_curve(dunlin, points=11)
    np.testing.assert_allclose(curve.travel, np.linspace(0, 0.16, 11))
    assert spring_curve(dunlin, travel=np.array([-0.001])).force[0] < spring_curve(dunlin).force[0] - 50.0
    with pytest.raises(Unphysical, match="exponent"):
        spring_curve(dunlin, exponent=3.0)


def test_settings_over_the_limit_are_refused(dunlin: Unit) -> None:
    """The bench refuses a setting that the file forbids."""
    with pytest.raises(InputError, match="over the stated pressure limit"):
        spring_curve(dunlin, dunlin.setting.changed(pressure=9e5))


def test_own_valve_negative_chamber(dunlin: Unit) -> None:
    """A negative chamber with its own valve starts at its own set pressure."""
    unit = variant(dunlin, 'negative = "valve"', 'negative_pressure = "70 psi"')
    curve = spring_curve(unit)
    assert curve.negative[0] == pytest.approx(70 * 6894.757293 + 101325, rel=1e-9)
    assert curve.positive[0] == pytest.approx(85 * 6894.757293 + 101325, rel=1e-9)


def test_a_hose_reads_every_chamber_with_a_valve(dunlin: Unit) -> None:
    """A negative chamber with its own valve has a pump on it too; one that fills itself has none."""
    assert [reading.chamber for reading in hose_readings(dunlin, 10e-6)] == ["positive"]
    unit = variant(dunlin, 'negative = "valve"', 'negative_pressure = "70 psi"')
    positive, negative = hose_readings(unit, 10e-6)
    assert (positive.chamber, negative.chamber) == ("positive", "negative")
    assert negative.before == pytest.approx(70 * 6894.757293, rel=1e-9)
    assert negative.volume == pytest.approx(46e-6)


def test_a_hose_finds_the_room_a_displaced_floating_piston_has_made(plover: Unit) -> None:
    """The secondary gas is what was pumped in, in less room; what it lost the positive chamber has gained."""
    set_low = plover.setting.changed(pressure=7e5, floating=4e5)
    positive, secondary = hose_readings(plover, 10e-6, set_low)
    pumped_in = (4e5 + 101325.0) * 38e-6
    assert (secondary.before + 101325.0) * secondary.volume == pytest.approx(pumped_in, rel=1e-9)
    assert secondary.volume < 30e-6
    spacers = plover.setting.spacers * plover.air_spring.spacers.volume.si if plover.setting.spacers else 0.0
    assert positive.volume + secondary.volume == pytest.approx(168e-6 - spacers, rel=1e-9)


def test_coil_negative_spring(dunlin: Unit) -> None:
    """A negative coil pushes the unit into its travel over its length and not beyond."""
    unit = variant(dunlin, 'negative = "coil"\nnegative_coil = { rate = "10 N/mm", length = "20 mm" }', "")
    without = variant(
        dunlin, 'negative = "coil"\nnegative_coil = { rate = "0.01 N/mm", length = "20 mm" }', ""
    )
    gap = spring_curve(unit).force - spring_curve(without).force
    x = spring_curve(unit).travel
    np.testing.assert_allclose(gap, -(10_000 - 10) * np.maximum(0.020 - x, 0.0), atol=1e-6)
    assert np.all(spring_curve(unit).negative == 101325.0)


def test_coil_main_spring_and_coil_bind() -> None:
    """A coil main spring is rate times compression; a coil that goes solid is named."""
    text = """
format = 1
kind = "fork"
name = "coil"
travel = "150 mm"
[coil_spring]
rate = "9 N/mm"
preload = "5 mm"
solid_travel = "140 mm"
"""
    curve = spring_curve(read_text(text))  # type: ignore[arg-type]
    np.testing.assert_allclose(curve.force, 9000 * (curve.travel + 0.005))
    assert any("goes solid" in note for note in curve.warnings)


def test_displaced_floating_piston_is_named(plover: Unit) -> None:
    """A secondary pressure below the main one leaves the piston displaced at rest, and it is said."""
    curve = spring_curve(plover, plover.setting.changed(floating="60 psi"))
    assert curve.floating[0] > 0.0
    assert any("already displaced" in note for note in curve.warnings)
    short = replaced(plover, {"air_spring.floating.stroke": 0.02})
    ended = spring_curve(short, short.setting.changed(floating="60 psi"))
    assert ended.floating[-1] == 0.02
    assert any("fully displaced" in note for note in ended.warnings)


def test_pump_reads_the_set_pressure_with_a_displaced_piston(plover: Unit) -> None:
    """The pump reads what was set; on to the transfer point p V stays, on both sides of the piston."""
    unit = plover.model_copy(update={"setting": plover.setting.changed(floating="60 psi")})
    curve = spring_curve(unit, travel=np.array([0.0, 0.004]))
    assert curve.positive[0] == pytest.approx(120 * 6894.757293 + 101325, rel=1e-9)
    given_up = np.pi / 4 * 0.022**2 * curve.floating
    room = 130e-6 - np.pi / 4 * 0.0265**2 * curve.travel + given_up
    assert curve.positive * room == pytest.approx(curve.positive[0] * room[0], rel=1e-9)
    pumped_in = (60 * 6894.757293 + 101325) * 38e-6
    assert curve.positive * (38e-6 - given_up) == pytest.approx(pumped_in, rel=1e-9)
    assert curve.negative[1] == pytest.approx(curve.positive[1], rel=1e-9)  # the chambers meet there


def test_friction_counts_seals_bushings_and_clamped_axle(dunlin: Unit, plover: Unit) -> None:
    """A side load adds friction by statics; a clamped-in misalignment adds more as the tubes shorten."""
    bare, loaded = spring_curve(dunlin), spring_curve(dunlin, side_load=300.0)
    assert bare.friction[0] == pytest.approx(12.0)
    assert loaded.friction[0] - 12.0 == pytest.approx(0.04 * 300 * (2 * 235 + 150) / 150, rel=1e-9)
    clamped = spring_curve(plover)
    assert np.all(np.diff(clamped.friction) > 0.0)
    assert clamped.friction[0] > 14.0


def test_sag_band_is_where_friction_holds(dunlin: Unit) -> None:
    """At the ends of the band force and load differ by exactly the break-away friction."""
    found = sag(dunlin, 333.0, side_load=150.0)
    ends = spring_curve(dunlin, travel=np.array([found.low, found.middle, found.high]), side_load=150.0)
    held = 1.3 * ends.friction
    assert ends.force[0] == pytest.approx(333.0 - held[0], abs=0.02)
    assert ends.force[2] == pytest.approx(333.0 + held[2], abs=0.02)
    assert found.low < found.middle < found.high


def test_less_friction_narrows_the_sag_band(dunlin: Unit) -> None:
    """A slicker sliding surface narrows the band; a worn one widens it and its break-away."""
    bands = []
    for coefficient in (0.02, 0.04, 0.12):
        found = sag(replaced(dunlin, {"chassis.bushing_friction": coefficient}), 333.0, side_load=160.0)
        bands.append((found.high - found.low, found.friction))
    assert bands[0] < bands[1] < bands[2]


def test_sag_says_when_it_ends_at_a_stop(dunlin: Unit) -> None:
    """A load beyond the travel or within friction is named, not clipped in secret."""
    assert any("bottomed" in note for note in sag(dunlin, 5000.0).warnings)
    assert any("topped out" in note for note in sag(dunlin, 2.0).warnings)
    with pytest.raises(Unphysical, match="load"):
        sag(dunlin, -1.0)


def test_lost_travel_from_a_large_negative_chamber(dunlin: Unit) -> None:
    """A transfer point deeper in the travel leaves the unloaded unit further in its travel."""
    shallow = sag(dunlin, 333.0).rest
    deep = sag(replaced(dunlin, {"air_spring.transfer": 0.02}), 333.0).rest
    assert deep > shallow > 0.0
    assert spring_curve(replaced(dunlin, {"air_spring.transfer": 0.02}), travel=np.array([deep])).force[
        0
    ] == pytest.approx(0.0, abs=0.05)


def test_bands_follow_the_tolerances(dunlin: Unit) -> None:
    """A band holds the nominal curve, repeats with its seed, and shrinks with the tolerances."""
    band = spring_bands(dunlin, draws=2000)["force"]
    nominal = spring_curve(dunlin).force
    assert np.all((band.low < nominal) & (nominal < band.high))
    assert np.array_equal(band.low, spring_bands(dunlin, draws=2000)["force"].low)
    exact = read_text(to_text(dunlin).replace('negative_volume = "46 ± 2 ml"', 'negative_volume = "46 ml"'))
    narrower = spring_bands(exact, draws=2000)["force"]  # type: ignore[arg-type]
    assert narrower.high[20] - narrower.low[20] < band.high[20] - band.low[20]


def test_band_against_linear_propagation(dunlin: Unit) -> None:
    """With one small tolerance the band is 3.29 standard deviations wide, as first-order propagation says."""
    text = to_text(dunlin)
    text = re.sub(r" ± [\d.]+", "", text).replace('bore = "32.00 mm"', 'bore = "32.00 ± 0.01 mm"')
    unit = read_text(text)
    band = spring_bands(unit, draws=10_000)["force"]  # type: ignore[arg-type]
    step = 1e-6
    slope = (
        spring_curve(replaced(unit, {"air_spring.bore": 0.032 + step})).force  # type: ignore[type-var]
        - spring_curve(replaced(unit, {"air_spring.bore": 0.032 - step})).force  # type: ignore[type-var]
    ) / (2 * step)
    width = np.abs(slope) * 1e-5 * 2 * 1.6449
    np.testing.assert_allclose((band.high - band.low)[5:], width[5:], rtol=0.05)


def test_band_of_matches_numpy_quantiles() -> None:
    """Our partition-based quantiles are NumPy's linear ones."""
    values = np.random.default_rng(1).standard_normal((4, 1001))
    want = np.quantile(values, [0.05, 0.5, 0.95], axis=-1)
    got = band_of(values.copy())
    np.testing.assert_allclose([got.low, got.middle, got.high], want, rtol=1e-12)


def test_sag_bands_hold_the_sag(dunlin: Unit) -> None:
    """The tolerance band of the middle of the sag holds the nominal middle."""
    bands = sag_bands(dunlin, 333.0, draws=500)
    assert bands["middle"].low[0] < sag(dunlin, 333.0).middle < bands["middle"].high[0]


def test_sag_bands_are_of_the_same_friction_as_the_sag(dunlin: Unit) -> None:
    """What a damper's seal holds besides widens the band of every drawn unit too."""
    found = sag(dunlin, 380.0, extra_friction=60.0)
    bands = sag_bands(dunlin, 380.0, extra_friction=60.0, draws=500)
    assert float(bands["low"].middle[0]) == pytest.approx(float(found.low), abs=0.5e-3)
    assert float(sag_bands(dunlin, 380.0, draws=500)["low"].middle[0]) > found.low + 3e-3


def test_fork_load_statics(demo_dir: Path) -> None:
    """Weight resolves along and across the leg; a front brake adds along it and turns the side load."""
    rider, bike = load(demo_dir / "rider.toml"), load(demo_dir / "bike.toml")
    assert isinstance(rider, Rider)
    assert isinstance(bike, Bike)
    still = fork_load(rider, bike)
    weight = (82 + 15 - 3.6 - 3.9) * 0.42 * 9.80665
    assert np.hypot(still.axial, still.side) == pytest.approx(weight, rel=1e-12)
    assert still.axial / still.side == pytest.approx(np.tan(np.radians(64.5)), rel=1e-9)
    braked = fork_load(rider, bike, deceleration=5.0)
    assert braked.axial > still.axial
    assert braked.side < 0.0
    assert braked.moment < 0.0


def test_remarks_name_assumptions(dunlin: Unit) -> None:
    """`check` says which values are assumed and which were taken as exact."""
    notes = remarks(dunlin)
    assert any("assumed, not measured: chassis.stanchion_modulus" in note for note in notes)
    assert not any("taken as exact" in note for note in notes)
    exact = read_text(to_text(dunlin).replace('negative_volume = "46 ± 2 ml"', 'negative_volume = "46 ml"'))
    assert "no tolerance given, so taken as exact: air_spring.negative_volume" in remarks(exact)  # type: ignore[arg-type]


def test_too_little_lower_leg_air_is_refused_and_told(dunlin: Unit) -> None:
    """Trapped air that would vanish within the travel: no curve, the reason said; sag above it works."""
    small = replaced(dunlin, {"lower_legs.air_volume": 95e-6})
    with pytest.raises(Unphysical, match=r"trapped air to nothing at \d+\.\d mm of 160\.0 mm"):
        spring_curve(small)
    found = sag(small, 333.0)
    assert 0.02 < found.middle < 0.05
    assert any("air_volume" in note for note in found.warnings)
    assert any("air_volume" in note for note in remarks(small))
