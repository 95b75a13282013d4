"""Leak-down against the ideal gas in closed form and an independent integration."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from forkwright.evidence.leak_law import leaked_pressure, undo_gauge_losses
from forkwright.evidence.leakdown import leak_rate

AMBIENT = 101325.0
MOLAR_GAS = 8.314462618  # J/(mol K), CODATA 2018: N_A k, exact but for the digits left off


@pytest.mark.outside
def test_the_leaking_chamber_follows_its_equation(check: Callable[..., None]) -> None:
    """The closed form agrees with SciPy's integration of ``dp/dt = -k (p^2 - p_amb^2)``."""
    start, rate = 750e3, 2.0
    k = rate / (start**2 - AMBIENT**2)
    times = np.array([0.0, 3.6e4, 3.6e5, 3.6e6])
    answer = solve_ivp(
        lambda _, p: -k * (p**2 - AMBIENT**2), (0, times[-1]), [start], t_eval=times, rtol=1e-11, atol=1e-6
    )
    for t, expected, got in zip(
        times, answer.y[0], leaked_pressure(times, start, rate, AMBIENT), strict=True
    ):
        check(
            formula="pressure of a leaking chamber", source=f"SciPy solve_ivp at {t:.3g} s",
            expected=expected, got=got, tolerance=1e-8, unit="Pa",
        )  # fmt: skip


@pytest.mark.outside
def test_an_ideal_gas_that_only_cools_shows_no_leak(check: Callable[..., None]) -> None:
    """Amontons' law: at constant volume p/T stays; 85 psi that cool from 25 to 5 degC have lost nothing."""
    time = np.linspace(0, 12 * 3600, 25)
    temperature = 298.15 - 20 * time / time[-1]
    pressure = (85 * 6894.757 + AMBIENT) * temperature / 298.15
    leak = leak_rate(time, pressure, temperature, gauge_resolution=700.0)
    blind = leak_rate(time, pressure, gauge_resolution=700.0)
    check(
        formula="leak of a tight chamber while it cools", source="ideal gas at constant volume, p/T constant",
        expected=0.0, got=leak.rate, tolerance=1e-6, unit="Pa/s", relative=False,
    )  # fmt: skip
    assert not leak.shown
    assert math.isinf(leak.half_life)
    assert blind.shown
    assert any("one kelvin" in w for w in blind.warnings)


@pytest.mark.outside
def test_a_known_outflow_of_moles_comes_back_as_rate_and_flow(check: Callable[..., None]) -> None:
    """A chamber of 200 ml that loses 1e-9 mol/s at 20 degC loses R T n/V of pressure."""
    time = np.linspace(0, 6 * 3600, 73)
    temperature = 293.15 + 3 * np.sin(2 * np.pi * time / 86400)
    volume, flow = 200e-6, 1e-9
    amount = 700e3 * volume / (MOLAR_GAS * 293.15) - flow * time
    pressure = amount * MOLAR_GAS * temperature / volume
    leak = leak_rate(time, pressure, temperature, volume=volume)
    check(
        formula="leak flow from pressures", source="ideal gas, n = pV/(RT)", expected=flow, got=leak.flow,
        tolerance=2e-3, unit="mol/s",
    )  # fmt: skip
    check(
        formula="temperature-corrected leak rate", source="ideal gas, dp/dt = R T/V dn/dt",
        expected=flow * MOLAR_GAS * 293.15 / volume, got=leak.rate, tolerance=2e-3, unit="Pa/s",
    )  # fmt: skip


@pytest.mark.outside
def test_the_pump_that_is_put_on_for_every_reading_takes_its_share_and_is_accounted_for(
    check: Callable[..., None],
) -> None:
    """Mixing ``p1 = (p0 V + p_amb V_h)/(V + V_h)`` at each reading, undone exactly for a tight chamber."""
    volume, hose, p = 180e-6, 3e-6, 700e3
    readings = []
    for _ in range(8):
        p = (p * volume + AMBIENT * hose) / (volume + hose)
        readings.append(p)
    restored = undo_gauge_losses(np.array(readings), volume, hose, AMBIENT)
    for value in restored:
        check(
            formula="pressure before the pump was connected", source="ideal gases mixed at one temperature",
            expected=700e3, got=value, tolerance=1e-12, unit="Pa",
        )  # fmt: skip
