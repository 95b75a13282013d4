"""What stands between wheel and bike, compiled for the time-stepping kernel: gas, springs, stops, damper.

Derived in `docs/ride.md`. Compiled by Numba and inlined into `ride.motion`. Everything is passed and returned
by value, so the state lives in registers.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import P0
from forkwright.ride.compiled import inlined
from forkwright.ride.parameters import RideParameters
from forkwright.ride.state import State

Array = NDArray[np.float64]


@inlined
def stroke_and_lever(p: RideParameters, travel: float) -> tuple[float, float]:
    """Return the unit's stroke at a wheel travel, and its slope (1 where there is no leverage)."""
    stroke, lever = travel, 1.0
    if p.leverage_stroke.size > 1:
        place = min(max(int(travel / p.leverage_step), 0), p.leverage_stroke.size - 2)
        lever = (p.leverage_stroke[place + 1] - p.leverage_stroke[place]) / p.leverage_step
        stroke = p.leverage_stroke[place] + (travel - place * p.leverage_step) * lever
    return stroke, lever


@inlined
def pressures(p: RideParameters, y: State, stroke: float) -> tuple[float, float, float, float, float]:
    """Return the pressures of positive, negative and leg chambers, and 1 over the positive volume."""
    per_volume = 1.0 / (p.positive_volume - p.positive_area * stroke + p.floating_area * y.floating)
    return (
        y.positive * per_volume,
        y.negative / (p.negative_volume + p.negative_area * stroke),
        y.spring_leg / (p.spring_leg_volume - p.spring_leg_area * stroke),
        y.damper_leg / (p.damper_leg_volume - p.damper_leg_area * stroke),
        per_volume,
    )


@inlined
def solid_springs(p: RideParameters, stroke: float) -> float:
    """Return the force of coils, bumpers and stops."""
    force = p.coil_force + p.coil_rate * stroke
    force -= p.negative_coil_rate * max(p.negative_coil_length - stroke, 0.0)
    force += p.top_out_rate * min(stroke, 0.0)
    bumper = stroke - (p.travel - p.bumper_length)
    if bumper > 0.0:
        if p.bumper_exponent == 1.0:
            force += p.bumper_rate * bumper
        else:
            force += p.bumper_rate * p.bumper_length * (bumper / p.bumper_length) ** p.bumper_exponent
        force += p.stop_rate * max(stroke - p.travel, 0.0)
    return force


@inlined
def floating_piston(
    p: RideParameters,
    y: State,
    positive: float,
    positive_per_volume: float,
    positive_heat: float,
    stroke_speed: float,
) -> tuple[float, float, float, float]:
    """Return the floating piston's speed, the secondary chamber's rate and heat, and the power lost.

    The piston has no mass: it moves so that the difference of its two sides stays at its friction.
    """
    ratio = p.gas_ratio
    warm = 1.0 if ratio > 1.0 else 0.0
    secondary_per_volume = 1.0 / (p.floating_volume - p.floating_back_area * y.floating)
    secondary = y.secondary * secondary_per_volume
    secondary_heat = warm * (p.floating_content - y.secondary) * p.floating_heat_rate
    gap = (positive - p.ambient) * p.floating_area - (secondary - p.ambient) * p.floating_back_area
    pushing = (
        p.floating_area
        * positive_per_volume
        * (ratio * positive * p.positive_area * stroke_speed + warm * positive_heat)
        - p.floating_back_area * secondary_per_volume * secondary_heat
    )
    stiffness = ratio * (
        positive * p.floating_area * p.floating_area * positive_per_volume
        + secondary * p.floating_back_area * p.floating_back_area * secondary_per_volume
    )
    drive = gap - min(max(gap, -p.floating_friction), p.floating_friction)
    speed = (pushing + drive / p.floating_relaxation) / stiffness
    held = p.floating_friction > 0.0 and speed * drive <= 0.0
    at_stop = (y.floating <= 0.0 and drive <= 0.0) or (y.floating >= p.floating_stroke and drive >= 0.0)
    if held or at_stop:
        speed = 0.0
    rate = (ratio - 1.0) * secondary * p.floating_back_area * speed + secondary_heat
    return speed, rate, secondary_heat, gap * speed


@inlined
def table(values: Array, position: float) -> float:
    """Return the straight-line interpolation of evenly spaced values, carried on past the ends."""
    place = min(max(int(position), 0), values.size - 2)
    return float(values[place] + (position - place) * (values[place + 1] - values[place]))


@inlined
def damper_chambers(
    p: RideParameters, y: State, stroke: float, stroke_speed: float
) -> tuple[float, float, float]:
    """Return the damper's force and the pressure rates of its two chambers."""
    reservoir = p.reservoir_pressure + p.reservoir_rate * stroke
    if p.reservoir_gas_volume > 0.0:
        reservoir *= p.reservoir_gas_volume / (p.reservoir_gas_volume - p.shaft_area * stroke)
    ring_area = p.tube_area - p.shaft_area
    half = 0.5 * (p.piston_flow.size - 1)
    through_piston = table(p.piston_flow, (y.compression - y.shaft) / p.valve_pressure_step + half)
    through_base = table(p.base_flow, (y.compression - reservoir) / p.valve_pressure_step + half)
    compression_rate = (
        oil_modulus(p, y.compression)
        / (p.compression_volume - p.tube_area * stroke)
        * (p.tube_area * stroke_speed - through_piston - through_base)
    )
    shaft_rate = (
        oil_modulus(p, y.shaft)
        / (p.shaft_volume + ring_area * stroke)
        * (through_piston - ring_area * stroke_speed)
    )
    force = (y.compression - p.ambient) * p.tube_area - (y.shaft - p.ambient) * ring_area
    return force, compression_rate, shaft_rate


@inlined
def oil_modulus(p: RideParameters, pressure: float) -> float:
    """Return the bulk modulus of oil with free air at `pressure` (isothermal mixture), Pa.

    As `physics.oil_air.effective_bulk_modulus`, but for what the oil itself gives way in volume.
    """
    gas = p.oil_air_share * P0 / pressure
    return (1.0 + gas) / (1.0 / p.oil_bulk_modulus + gas / pressure)
