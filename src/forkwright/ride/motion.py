"""The equations of motion of wheel, unit and rider, compiled for the time-stepping kernel.

Derived in `docs/ride.md`. Compiled by Numba and inlined into `ride.kernel`; import it only where the kernel
is called. Everything is passed and returned by value, so the state lives in registers.

`motion` is one long function on purpose: the compiler may reorder sums within a function. Cut into parts it
rounds otherwise in the last digits, and a ride would no longer repeat one that was kept.
"""

from __future__ import annotations

from forkwright.physics import G0
from forkwright.ride.compiled import inlined
from forkwright.ride.parameters import RideParameters
from forkwright.ride.state import Powers, State
from forkwright.ride.unit_forces import (
    damper_chambers,
    floating_piston,
    pressures,
    solid_springs,
    stroke_and_lever,
    table,
)


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
    positive, negative, spring_leg, damper_leg, positive_per_volume = pressures(p, y, stroke)
    force = (
        (positive - p.ambient) * p.positive_area
        - (negative - p.ambient) * p.negative_area
        + (spring_leg - p.ambient) * p.spring_leg_area
        + (damper_leg - p.ambient) * p.damper_leg_area
        + p.damper_push
        + solid_springs(p, stroke)
    )
    positive_heat = (p.positive_content - y.positive) * p.positive_heat_rate
    floating_speed, secondary_rate, secondary_heat, floating_loss = 0.0, 0.0, 0.0, 0.0
    if p.floating_area > 0.0:
        floating_speed, secondary_rate, secondary_heat, floating_loss = floating_piston(
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
        damper, compression_rate, shaft_rate = damper_chambers(p, y, stroke, stroke_speed)
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
def sliding_energy(p: RideParameters, y: State) -> float:
    """Return the part of the kinetic energy that vanishes when the wheel stops sliding, J."""
    return p.unsprung_mass * y.speed * (p.axis_sine * y.rise + 0.5 * y.speed)
