"""Where everything stands before the ride: the settled state under the static load.

Compiled like the kernel, and with the kernel's own forces, so that a ride begins in balance.
"""

from __future__ import annotations

from forkwright.ride.compiled import compiled, inlined
from forkwright.ride.motion import motion
from forkwright.ride.parameters import RideParameters
from forkwright.ride.state import State
from forkwright.ride.unit_forces import stroke_and_lever

BISECTIONS = 60
BEYOND_EXTENSION, BEYOND_TRAVEL = 0.05, 0.05
"""How far beyond its travel a unit's rest is looked for, m."""


@inlined
def _settled_floating(p: RideParameters, stroke: float) -> float:
    """Return where the floating piston balances with both gases at wall temperature, m."""
    low, high = 0.0, p.floating_stroke
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        positive = p.positive_content / (
            p.positive_volume - p.positive_area * stroke + p.floating_area * middle
        )
        secondary = p.floating_content / (p.floating_volume - p.floating_back_area * middle)
        if (positive - p.ambient) * p.floating_area > (secondary - p.ambient) * p.floating_back_area:
            low = middle
        else:
            high = middle
    return low


@inlined
def _used_up(p: RideParameters, stroke: float) -> int:
    """Return -1 or 1 where a chamber has no volume left so far out or in, else 0; nothing rests there."""
    if p.negative_content > 0.0 and p.negative_volume + p.negative_area * stroke <= 0.0:
        return -1
    if p.spring_leg_content > 0.0 and p.spring_leg_volume - p.spring_leg_area * stroke <= 0.0:
        return 1
    if p.damper_leg_content > 0.0 and p.damper_leg_volume - p.damper_leg_area * stroke <= 0.0:
        return 1
    return 0


@compiled
def settled_state(p: RideParameters, travel: float, tyre_force: float, height: float) -> State:
    """Return the state at rest at a wheel travel, with every gas at wall temperature.

    Parameters
    ----------
    p
        `RideParameters`.
    travel
        Travel of the wheel, m.
    tyre_force
        Static force of the tyre, N.
    height
        Height of the ground, m.

    Returns
    -------
    `State`.
    """
    stroke = stroke_and_lever(p, travel)[0]
    floating = 0.0
    if p.floating_area > 0.0:
        floating = _settled_floating(p, stroke)
    oil = p.reservoir_pressure + p.reservoir_rate * stroke
    if p.reservoir_gas_volume > 0.0:
        oil *= p.reservoir_gas_volume / (p.reservoir_gas_volume - p.shaft_area * stroke)
    body = height - tyre_force / p.tyre_stiffness - p.axis_sine * travel
    return State(
        body, travel, 0.0, 0.0, body, 0.0, p.positive_content, p.negative_content, p.spring_leg_content,
        p.damper_leg_content, p.floating_content, floating, oil, oil,
    )  # fmt: skip


@compiled
def rest(p: RideParameters, height: float, gravity: float, shift: float) -> State:
    """Return the state in which the unit carries the static load without friction.

    Parameters
    ----------
    p
        `RideParameters`.
    height
        Height of the ground, m.
    gravity
        Acceleration that presses on every mass, m/s^2.
    shift
        Weight moved to the other wheel, N.

    Returns
    -------
    `State`; a unit that cannot carry the load, or does not sink under it, rests at the end of what was
    searched.
    """
    load = (p.sprung_mass + p.unsprung_mass + p.rider_mass) * gravity - shift
    low, high = -BEYOND_EXTENSION, p.travel + BEYOND_TRAVEL
    if p.leverage_stroke.size > 1:
        high = p.leverage_step * (p.leverage_stroke.size - 1) + BEYOND_TRAVEL
    elif p.positive_content > 0.0:
        high = min(high, 0.999 * p.positive_volume / p.positive_area)
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        used_up = _used_up(p, stroke_and_lever(p, middle)[0])
        if used_up < 0:
            low = middle
            continue
        if used_up > 0:
            high = middle
            continue
        state = settled_state(p, middle, load, height)
        _, _, _, _, holding = motion(p, state, 0.0, height, 0.0, gravity, shift)
        if holding > 0.0:
            low = middle
        else:
            high = middle
    return settled_state(p, 0.5 * (low + high), load, height)
