"""Friction loops against the energies of hysteresis loops in closed form, worked out apart from the code."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from forkwright.evidence.friction_loop import friction_loop


@pytest.mark.outside
def test_a_coulomb_loop_encloses_four_times_friction_times_amplitude(check: Callable[..., None]) -> None:
    """Source: energy of a Coulomb loop, ``4 F X`` at amplitude X (derived identity)."""
    phase = np.linspace(0, 4 * np.pi, 40_000)
    amplitude, friction = 0.07, 25.0
    travel = amplitude * (1 - np.cos(phase))
    loop = friction_loop(travel, 4000 * travel + friction * np.sign(np.sin(phase)), points=401)
    covered = np.ptp(loop.travel) / (2 * amplitude)  # the turns themselves are left out
    assert covered > 0.95
    check(
        formula="energy of a Coulomb friction loop", source="4 F X (derived identity)",
        expected=4 * friction * amplitude, got=loop.energy / covered, tolerance=1e-6, unit="J",
    )  # fmt: skip


@pytest.mark.outside
def test_a_viscous_loop_encloses_pi_c_omega_amplitude_squared(check: Callable[..., None]) -> None:
    """Source: energy of a viscous loop, ``pi c omega X^2`` (derived identity), turns left out."""
    amplitude, omega, damping = 0.07, 0.3, 900.0
    t = np.linspace(0, 4 * np.pi / omega, 60_000)
    travel, speed = amplitude * (1 - np.cos(omega * t)), amplitude * omega * np.sin(omega * t)
    loop = friction_loop(travel, 4000 * travel + damping * speed, points=801)
    u = (loop.travel - amplitude) / amplitude
    missed = 1 - (np.arcsin(u[-1]) + u[-1] * math.sqrt(1 - u[-1] ** 2) - np.arcsin(u[0])
                  - u[0] * math.sqrt(1 - u[0] ** 2)) / math.pi  # fmt: skip
    assert missed < 0.05
    check(
        formula="energy of a viscous loop", source="pi c omega X^2 (derived identity)",
        expected=math.pi * damping * omega * amplitude**2, got=loop.energy / (1 - missed), tolerance=2e-3,
        unit="J",
    )  # fmt: skip
