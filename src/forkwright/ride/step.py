"""The fixed step of a ride, chosen from the fastest thing that can happen in it."""

from __future__ import annotations

import numpy as np

from forkwright.ride.parameters import RideParameters

LONGEST_STEP = 1.0e-3
"""s; a wheel at 8 m/s then still sees every centimetre of the ground."""

SHORTEST_STEP = 2.0e-5
"""s; anything stiffer is refused by the energy account rather than followed for minutes."""

STEP_LADDER = 0.9
"""Steps come from the longest times powers of this, so that neighbouring settings share one road."""

PHASE_PER_STEP = 0.25
"""Largest angle (rad) the fastest undamped oscillation may turn through in a step.

A Runge-Kutta step of order 4 then errs by ``0.25^4/120``, 3e-5 of the amplitude, per radian (Hairer, Norsett
and Wanner, "Solving Ordinary Differential Equations I", the method's stability function; from memory).
"""

DECAY_PER_STEP = 1.0
"""Largest share of the fastest damped decay in a step; the method is stable to 2.78."""

SOFTEST_OIL = 20.0e5
"""Pressure (Pa) at which the oil's stiffness is judged; above it the valves are open and their flow is
less steep."""


def step_on_ladder(p: RideParameters) -> float:
    """Return the longest step of the ladder that suits a set of parameters, s."""
    rung = np.ceil(np.log(chosen_step(p) / LONGEST_STEP) / np.log(STEP_LADDER) - 1e-9)
    return float(LONGEST_STEP * STEP_LADDER**rung)


def chosen_step(p: RideParameters) -> float:
    """Return the step for a set of parameters.

    Parameters
    ----------
    p : RideParameters

    Returns
    -------
    Step, s: the longest that keeps the fastest oscillation (wheel on tyre, springs and stops together) below
    `PHASE_PER_STEP` and the fastest decay (steepest damping on the wheel, oil in the damper's chambers) below
    `DECAY_PER_STEP`.

    Notes
    -----
    Source: linear stability and accuracy of the classical Runge-Kutta method (see `PHASE_PER_STEP`); the
    choice of limits is our own and is held by the comparison with an implicit solver in the tests.
    """
    lever = 1.0
    if p.leverage_stroke.size > 1:
        lever = float(np.max(np.diff(p.leverage_stroke))) / p.leverage_step
    coupled = p.sprung_mass + p.unsprung_mass * (1.0 - p.axis_sine**2)
    along_path = (p.sprung_mass + p.unsprung_mass) / (p.unsprung_mass * coupled)
    stop = max(p.stop_rate + p.bumper_rate * max(p.bumper_exponent, 1.0), p.top_out_rate)
    stiffness = lever**2 * (stop + p.coil_rate + _gas_rate(p))
    oscillation = np.sqrt(along_path * stiffness + p.tyre_stiffness / p.unsprung_mass)
    damping = lever**2 * float(np.max(np.abs(np.diff(p.damper_force)))) / p.damper_speed_step
    decay = along_path * damping + p.tyre_loss * p.tyre_stiffness * 0.05 / p.unsprung_mass
    if p.damper_chambers > 0.0:
        decay = max(decay, _oil_rate(p))
    step = min(PHASE_PER_STEP / oscillation, DECAY_PER_STEP / max(decay, 1e-9), LONGEST_STEP)
    return float(max(step, SHORTEST_STEP))


def _gas_rate(p: RideParameters) -> float:
    """Return the adiabatic stiffness of the air at full travel, N/m."""
    rate = 0.0
    for volume, area, content in (
        (p.positive_volume, p.positive_area, p.positive_content),
        (p.spring_leg_volume, p.spring_leg_area, p.spring_leg_content),
        (p.damper_leg_volume, p.damper_leg_area, p.damper_leg_content),
    ):
        left = max(volume - area * p.travel, 0.02 * volume)
        rate += 1.4 * content * area**2 / left**2
    return rate + 1.4 * p.negative_content * p.negative_area**2 / p.negative_volume**2


def _oil_rate(p: RideParameters) -> float:
    """Return the fastest relaxation of pressure in the damper's chambers, 1/s."""
    piston = float(np.max(np.diff(p.piston_flow))) / p.valve_pressure_step
    base = float(np.max(np.diff(p.base_flow))) / p.valve_pressure_step
    smallest = max(p.compression_volume - p.tube_area * p.travel, 0.05 * p.compression_volume)
    gas = p.oil_air_share * 101325.0 / SOFTEST_OIL
    modulus = (1.0 + gas) / (1.0 / p.oil_bulk_modulus + gas / SOFTEST_OIL)
    return modulus * ((piston + base) / smallest + piston / p.shaft_volume)
