"""The gas law against real air, the atmosphere against its standard, and closed forms of filling."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from forkwright.bench import Conditions, spring_curve
from forkwright.hardware import load_unit, read_text, replaced
from forkwright.physics import gas
from forkwright.physics.air_spring import Chambers, Fill, charge, state
from forkwright.physics.atmosphere import standard_pressure
from forkwright.units import parse

pytestmark = pytest.mark.outside
PSI = parse("1 psi", "pressure").si


@pytest.mark.parametrize(
    ("ratio", "slow", "fast"),
    [
        (1.5, 0.9990, 1.0040),
        (2, 0.9981, 1.0079),
        (3, 0.9963, 1.0152),
        (4, 0.9948, 1.0222),
        (5, 0.9934, 1.0291),
    ],
)
def test_real_air_against_the_two_limits(check, ratio: float, slow: float, fast: float) -> None:  # type: ignore[no-untyped-def]
    """CoolProp's air from 6 bar and 20 degC, compressed, against our isothermal and adiabatic laws."""
    from CoolProp.CoolProp import PropsSI

    start, temperature = 6e5, 293.15
    density = PropsSI("D", "P", start, "T", temperature, "Air")
    entropy = PropsSI("S", "P", start, "T", temperature, "Air")
    real_slow = PropsSI("P", "D", density * ratio, "T", temperature, "Air")
    real_fast = PropsSI("P", "D", density * ratio, "S", entropy, "Air")
    for name, real, exponent, printed in (
        ("isothermal", real_slow, 1.0, slow),
        ("adiabatic", real_fast, 1.4, fast),
    ):
        ours = gas.pressure(start, ratio, 1.0, exponent)
        check(
            formula=f"real over ideal pressure, {name}, volume ratio {ratio:g}",
            source="CoolProp, equation of state for Air",
            expected=printed,
            got=real / ours,
            tolerance=6e-5,
            relative=False,
        )


def test_effect_of_real_air_in_newtons(check, demo_dir: Path) -> None:  # type: ignore[no-untyped-def]
    """The real-gas departure at full travel of the demo fork stays below 1 % in pressure (CoolProp)."""
    from CoolProp.CoolProp import PropsSI

    curve = spring_curve(load_unit(demo_dir / "dunlin-160.toml"))
    ratio = curve.positive[-1] / curve.positive[0]
    density = PropsSI("D", "P", curve.positive[0], "T", 293.15, "Air")
    real = PropsSI("P", "D", density * ratio, "T", 293.15, "Air")
    check(
        formula="positive chamber at full travel, demo fork, isothermal law",
        source="CoolProp, equation of state for Air",
        expected=real,
        got=curve.positive[-1],
        tolerance=0.01,
        unit="Pa",
    )
    newtons = (real - curve.positive[-1]) * np.pi / 4 * 0.032**2
    assert -12.0 < newtons < 0.0  # measured: about 4 N of 2077 N, real air is softer


@pytest.mark.parametrize(("altitude", "pressure"), [(0, 101325), (1000, 89874), (2000, 79495), (3000, 70108)])
def test_standard_atmosphere(check, altitude: float, pressure: float) -> None:  # type: ignore[no-untyped-def]
    """Ambient pressure agrees with the standard's table."""
    check(
        formula=f"ambient pressure at {altitude} m",
        source="US Standard Atmosphere 1976, table I",
        expected=pressure,
        got=standard_pressure(altitude),
        tolerance=1.0,
        unit="Pa",
        relative=False,
    )


def test_isothermal_and_adiabatic_closed_forms(check) -> None:  # type: ignore[no-untyped-def]
    """Without legs and bumpers, force at any travel is the textbook p V**k expression (closed form)."""
    source = """
format = 1
kind = "fork"
name = "bare"
travel = "150 mm"
[air_spring]
bore = "32 mm"
shaft = "10 mm"
positive_volume = "200 ml"
negative_volume = "40 ml"
transfer = "6 mm"
[setting]
pressure = "80 psi"
"""
    unit = read_text(source)
    area, negative_area = np.pi / 4 * 0.032**2, np.pi / 4 * (0.032**2 - 0.010**2)
    ambient, set_to = 101325.0, 80 * PSI + 101325.0
    meet = set_to * 200e-6 / (200e-6 - area * 0.006)
    for k in (1.0, 1.4):
        curve = spring_curve(unit, exponent=k, points=31)  # type: ignore[arg-type]
        x = curve.travel
        positive = meet * ((200e-6 - area * 0.006) / (200e-6 - area * x)) ** k
        negative = meet * ((40e-6 + negative_area * 0.006) / (40e-6 + negative_area * x)) ** k
        force = (positive - ambient) * area - (negative - ambient) * negative_area
        np.testing.assert_allclose(curve.positive, positive, rtol=1e-12)
        np.testing.assert_allclose(curve.negative, negative, rtol=1e-12)
        np.testing.assert_allclose(curve.force, force, rtol=1e-9, atol=1e-6)
        check(
            formula=f"air spring force at full travel, k = {k:g}",
            source="p V**k of both chambers, thermodynamics textbook (derived)",
            expected=force[-1],
            got=curve.force[-1],
            tolerance=1e-9,
            unit="N",
        )


def test_two_areas_at_130_and_90_psi_carry_the_same_rider(check) -> None:  # type: ignore[no-untyped-def]
    """Common practice, no source: 130 psi on a smaller bore and 90 psi on a larger give equal force."""
    ambient = 101325.0
    small, large = np.pi / 4 * 0.0270**2, np.pi / 4 * 0.0270**2 * 130 / 90
    force = []
    for area, gauge in ((small, 130), (large, 90)):
        chambers = Chambers(area, area, 1.0, None)
        gas_now = charge(chambers, Fill(ambient + gauge * PSI), 1.0, ambient)
        force.append(state(chambers, gas_now, np.array([0.0]), ambient).force[0])
    assert force[0] == pytest.approx(force[1], rel=1e-12)
    check(
        formula="force of 130 psi on a small bore and of 90 psi on a larger one",
        source="fact of the trade (common practice, no source): gauge pressure times area",
        expected=130 * 6894.757293 * np.pi / 4 * 0.0270**2,
        got=force[1],
        tolerance=1e-9,
        unit="N",
    )


def test_spacers_take_equal_volumes_and_leave_the_negative_chamber(demo_dir: Path) -> None:
    """Common practice, no source: each spacer adds more end pressure than the last, nothing elsewhere."""
    unit = load_unit(demo_dir / "dunlin-160.toml")
    curves = [spring_curve(unit, unit.setting.changed(spacers=n)) for n in range(6)]
    ends = np.array([curve.positive[-1] for curve in curves])
    assert np.all(np.diff(ends) > 0.0)
    assert np.all(np.diff(ends, 2) > 0.0)
    assert all(curve.positive[0] == pytest.approx(curves[0].positive[0], rel=1e-12) for curve in curves)
    shares = np.array([curve.negative / curve.negative[0] for curve in curves])
    np.testing.assert_allclose(shares, np.broadcast_to(shares[0], shares.shape), rtol=1e-12)


def test_pump_hose_closed_form(check) -> None:  # type: ignore[no-untyped-def]
    """A 10 ml hose on 200 ml at 85 psi reads back 80.95 psi gauge (amounts of gas add up; derived)."""
    left = gas.after_hose(85 * PSI + 101325.0, 200e-6, 101325.0, 10e-6)
    check(
        formula="gauge pressure after connecting a hose",
        source="ideal-gas amounts (derived): p V / (V + V_h) in gauge",
        expected=85 * 200 / 210,
        got=(left - 101325.0) / PSI,
        tolerance=1e-12,
        unit="psi",
    )


def test_temperature_and_altitude_act_on_sealed_gas(check, demo_dir: Path) -> None:  # type: ignore[no-untyped-def]
    """Cooling scales absolute pressures by the kelvin ratio; altitude leaves the sealed gas as it was."""
    unit = load_unit(demo_dir / "plover-160.toml")
    warm, cold = spring_curve(unit), spring_curve(unit, None, Conditions.at(temperature=273.15))
    np.testing.assert_allclose(cold.positive, warm.positive * 273.15 / 293.15, rtol=1e-9)
    check(
        formula="sealed positive chamber cooled from 20 to 0 degC, share of its pressure",
        source="Amontons' law, p/T constant",
        expected=273.15 / 293.15,
        got=cold.positive[0] / warm.positive[0],
        tolerance=1e-9,
    )
    np.testing.assert_allclose(cold.lower_leg, warm.lower_leg * 273.15 / 293.15, rtol=1e-12)
    high = spring_curve(unit, None, Conditions.at(altitude=2000.0))
    np.testing.assert_allclose(high.positive, warm.positive, rtol=1e-12)
    assert np.all(high.force > warm.force)


def test_lower_leg_air_closed_form(check, demo_dir: Path) -> None:  # type: ignore[no-untyped-def]
    """Trapped air follows p V = const per leg, each leg with its own shaft (closed form)."""
    unit = replaced(load_unit(demo_dir / "dunlin-160.toml"), {})
    curve = spring_curve(unit)
    area = np.pi / 4 * (0.036**2 - 0.010**2)
    np.testing.assert_allclose(
        curve.lower_leg, 101325.0 * 285e-6 / (285e-6 - area * curve.travel), rtol=1e-12
    )
    check(
        formula="lower-leg air at full travel",
        source="p V constant (Boyle), thermodynamics textbook",
        expected=101325.0 * 285e-6 / (285e-6 - area * 0.160),
        got=curve.lower_leg[-1],
        tolerance=1e-9,
        unit="Pa",
    )
