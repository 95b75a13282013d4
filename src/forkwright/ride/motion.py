"""The equations of motion of wheel, unit and rider, compiled for the time-stepping kernel.

Derived in `docs/ride.md`. Compiled by Numba and inlined into `ride.kernel`; import it only where the kernel
is called. Everything is passed and returned by value, so the state lives in registers.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import G0
from forkwright.ride.compiled import inlined
from forkwright.ride.parameters import RideParameters

Array = NDArray[np.float64]


class State(NamedTuple):
    """What changes in time: m, m/s, J (heat content p V of a chamber), Pa."""

    height: float  # of the sprung mass
    travel: float  # of the wheel along its path, compression positive
    rise: float  # speed of the sprung mass
    speed: float  # of the wheel's travel
    rider_height: float
    rider_rise: float
    positive: float
    negative: float
    spring_leg: float
    damper_leg: float
    secondary: float
    floating: float  # movement of the floating piston
    compression: float  # pressure of the damper's compression chamber
    shaft: float  # pressure of the damper's shaft chamber


class Powers(NamedTuple):
    """The energy account: power (W) in `motion`, work (J) once summed."""

    ground: float  # done by the ground on the tyre
    weight: float  # done by gravity and shifted load
    damper: float  # taken by the damper
    friction: float
    tyre: float  # lost in the tyre
    wall: float  # heat given to the chamber walls by the gas
    floating: float  # lost at the floating piston
    rider: float  # lost in arms and legs


@inlined
def table(values: Array, position: float) -> float:
    """Return the straight-line interpolation of evenly spaced values, carried on past the ends."""
    place = min(max(int(position), 0), values.size - 2)
    return float(values[place] + (position - place) * (values[place + 1] - values[place]))


@inlined
def motion(
    p: RideParameters,
    y: State,
    mode: float,
    height: float,
    height_rate: float,
    gravity: float,
    shift: float,
) -> tuple[State, Powers, float, float, float]:
    """Return the rates of the state `y`, the powers, and three forces.

    `height`, `height_rate` belong to the ground under the wheel; `gravity` (m/s^2) presses on every mass;
    `shift` (N) lifts the sprung mass (weight moved to the other wheel). The forces are the tyre's, the
    running friction, and the friction that would keep the wheel from moving along its path.
    """
    stroke, lever = stroke_and_lever(p, y.travel)
    stroke_speed = lever * y.speed
    positive, negative, spring_leg, damper_leg, positive_per_volume = _pressures(p, y, stroke)
    force = (
        (positive - p.ambient) * p.positive_area
        - (negative - p.ambient) * p.negative_area
        + (spring_leg - p.ambient) * p.spring_leg_area
        + (damper_leg - p.ambient) * p.damper_leg_area
        + p.damper_push
        + _solid_springs(p, stroke)
    )
    positive_heat = (p.positive_content - y.positive) * p.positive_heat_rate
    floating_speed, secondary_rate, secondary_heat, floating_loss = 0.0, 0.0, 0.0, 0.0
    if p.floating_area > 0.0:
        floating_speed, secondary_rate, secondary_heat, floating_loss = _floating(
            p, y, positive, positive_per_volume, positive_heat, stroke_speed
        )
    positive_rate, negative_rate, spring_leg_rate, damper_leg_rate, wall = 0.0, 0.0, 0.0, 0.0, 0.0
    if p.gas_ratio > 1.0:
        exponent = p.gas_ratio - 1.0
        negative_heat = (p.negative_content - y.negative) * p.negative_heat_rate
        spring_leg_heat = (p.spring_leg_content - y.spring_leg) * p.lower_leg_heat_rate
        damper_leg_heat = (p.damper_leg_content - y.damper_leg) * p.lower_leg_heat_rate
        positive_rate = positive_heat + exponent * positive * (
            p.positive_area * stroke_speed - p.floating_area * floating_speed
        )
        negative_rate = negative_heat - exponent * negative * p.negative_area * stroke_speed
        spring_leg_rate = spring_leg_heat + exponent * spring_leg * p.spring_leg_area * stroke_speed
        damper_leg_rate = damper_leg_heat + exponent * damper_leg * p.damper_leg_area * stroke_speed
        wall = (
            -(positive_heat + negative_heat + spring_leg_heat + damper_leg_heat + secondary_heat) / exponent
        )
    compression_rate, shaft_rate = 0.0, 0.0
    if p.damper_chambers > 0.0:
        damper, compression_rate, shaft_rate = _damper_chambers(p, y, stroke, stroke_speed)
    else:
        damper = table(p.damper_force, (stroke_speed - p.damper_lowest_speed) / p.damper_speed_step)
    force += damper

    wheel_rise = y.rise + p.axis_sine * y.speed
    deflection = height - y.height - p.axis_sine * y.travel
    deflection_speed = height_rate - wheel_rise
    elastic = p.tyre_stiffness * max(deflection, 0.0)
    tyre = max(elastic * (1.0 + p.tyre_loss * deflection_speed), 0.0)
    arms, arms_loss, rider_acceleration = 0.0, 0.0, 0.0
    if p.rider_mass > 0.0:
        closing = y.rise - y.rider_rise
        arms = p.rider_mass * G0 + p.rider_stiffness * (y.height - y.rider_height) + p.rider_damping * closing
        arms_loss = p.rider_damping * closing * closing
        rider_acceleration = arms / p.rider_mass - gravity

    # two equations: heave of everything above the wheel's path, and slide of the wheel along its path
    both = p.sprung_mass + p.unsprung_mass
    heave = tyre - both * gravity + shift - arms
    slide = (tyre - p.unsprung_mass * gravity) * p.axis_sine - lever * force
    friction = p.friction_per_load * tyre + lever * (
        p.friction_force + p.friction_per_pressure * max(positive - p.ambient, 0.0)
    )
    holding = slide - p.unsprung_mass * p.axis_sine * heave / both
    if mode == 0.0:
        rise_rate, speed_rate = heave / both, 0.0
    else:
        slide -= mode * friction
        coupled = p.sprung_mass + p.unsprung_mass * (1.0 - p.axis_sine * p.axis_sine)
        rise_rate = (heave - p.axis_sine * slide) / coupled
        speed_rate = (both * slide / p.unsprung_mass - p.axis_sine * heave) / coupled
    momentum = p.sprung_mass * y.rise + p.unsprung_mass * wheel_rise + p.rider_mass * y.rider_rise
    state_rates = State(
        y.rise, y.speed, rise_rate, speed_rate, y.rider_rise, rider_acceleration,
        positive_rate, negative_rate, spring_leg_rate, damper_leg_rate, secondary_rate, floating_speed,
        compression_rate, shaft_rate,
    )  # fmt: skip
    powers = Powers(
        tyre * height_rate, shift * y.rise - gravity * momentum, damper * stroke_speed,
        mode * friction * y.speed, (tyre - elastic) * deflection_speed, wall, floating_loss, arms_loss,
    )  # fmt: skip
    return state_rates, powers, tyre, friction, holding


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
def _pressures(p: RideParameters, y: State, stroke: float) -> tuple[float, float, float, float, float]:
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
def _solid_springs(p: RideParameters, stroke: float) -> float:
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
def _floating(
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
def _damper_chambers(
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
        _oil_modulus(p, y.compression)
        / (p.compression_volume - p.tube_area * stroke)
        * (p.tube_area * stroke_speed - through_piston - through_base)
    )
    shaft_rate = (
        _oil_modulus(p, y.shaft)
        / (p.shaft_volume + ring_area * stroke)
        * (through_piston - ring_area * stroke_speed)
    )
    force = (y.compression - p.ambient) * p.tube_area - (y.shaft - p.ambient) * ring_area
    return force, compression_rate, shaft_rate


@inlined
def _oil_modulus(p: RideParameters, pressure: float) -> float:
    """Return the bulk modulus of oil with free air at `pressure` (isothermal mixture), Pa."""
    gas = p.oil_air_share * 101325.0 / pressure
    return (1.0 + gas) / (1.0 / p.oil_bulk_modulus + gas / pressure)


@inlined
def sliding_energy(p: RideParameters, y: State) -> float:
    """Return the part of the kinetic energy that vanishes when the wheel stops sliding, J."""
    return p.unsprung_mass * y.speed * (p.axis_sine * y.rise + 0.5 * y.speed)
