"""The time-stepping kernel: rides a unit over a course in fixed Runge-Kutta steps of order 4.

Compiled by Numba; imported only where it is called. The equations stand in `ride.motion`.

Dry friction is a mode, not a smoothed function: the wheel slides one way (+1), the other (-1) or sticks (0).
A step in which the sliding speed changes sign is cut at that instant; there the unit sticks if the force that
would move it is within the break-away friction, and stays until a step begins with a larger one.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from forkwright.ride.compiled import compiled, inlined, part
from forkwright.ride.motion import motion, sliding_energy
from forkwright.ride.parameters import RideParameters
from forkwright.ride.state import Powers, State
from forkwright.ride.unit_forces import stroke_and_lever

Array = NDArray[np.float64]
Point = tuple[float, float, float, float]

SERIES = ("travel", "speed", "height", "acceleration", "tyre", "positive", "floating", "rider_height")
"""Recorded at each step: m, m/s, m, m/s^2 (sprung mass), N, J (positive heat content), m, m."""


@inlined
def _ahead(y: State, k: State, step: float) -> State:
    """Return ``y + step k``."""
    return State(
        y[0] + step * k[0], y[1] + step * k[1], y[2] + step * k[2], y[3] + step * k[3],
        y[4] + step * k[4], y[5] + step * k[5], y[6] + step * k[6], y[7] + step * k[7],
        y[8] + step * k[8], y[9] + step * k[9], y[10] + step * k[10], y[11] + step * k[11],
        y[12] + step * k[12], y[13] + step * k[13],
    )  # fmt: skip


@inlined
def _mean(a: State, b: State, c: State, d: State) -> State:
    """Return the Runge-Kutta mean of four rates of the state."""
    s = 1.0 / 6.0
    return State(
        s * (a[0] + 2.0 * (b[0] + c[0]) + d[0]), s * (a[1] + 2.0 * (b[1] + c[1]) + d[1]),
        s * (a[2] + 2.0 * (b[2] + c[2]) + d[2]), s * (a[3] + 2.0 * (b[3] + c[3]) + d[3]),
        s * (a[4] + 2.0 * (b[4] + c[4]) + d[4]), s * (a[5] + 2.0 * (b[5] + c[5]) + d[5]),
        s * (a[6] + 2.0 * (b[6] + c[6]) + d[6]), s * (a[7] + 2.0 * (b[7] + c[7]) + d[7]),
        s * (a[8] + 2.0 * (b[8] + c[8]) + d[8]), s * (a[9] + 2.0 * (b[9] + c[9]) + d[9]),
        s * (a[10] + 2.0 * (b[10] + c[10]) + d[10]), s * (a[11] + 2.0 * (b[11] + c[11]) + d[11]),
        s * (a[12] + 2.0 * (b[12] + c[12]) + d[12]), s * (a[13] + 2.0 * (b[13] + c[13]) + d[13]),
    )  # fmt: skip


@inlined
def _summed(work: Powers, step: float, a: Powers, b: Powers, c: Powers, d: Powers) -> Powers:
    """Return the work after a step with the powers at its four stages."""
    s = step / 6.0
    return Powers(
        work[0] + s * (a[0] + 2.0 * (b[0] + c[0]) + d[0]), work[1] + s * (a[1] + 2.0 * (b[1] + c[1]) + d[1]),
        work[2] + s * (a[2] + 2.0 * (b[2] + c[2]) + d[2]), work[3] + s * (a[3] + 2.0 * (b[3] + c[3]) + d[3]),
        work[4] + s * (a[4] + 2.0 * (b[4] + c[4]) + d[4]), work[5] + s * (a[5] + 2.0 * (b[5] + c[5]) + d[5]),
        work[6] + s * (a[6] + 2.0 * (b[6] + c[6]) + d[6]), work[7] + s * (a[7] + 2.0 * (b[7] + c[7]) + d[7]),
    )  # fmt: skip


@part
def _step(
    p: RideParameters,
    y: State,
    work: Powers,
    mode: float,
    step: float,
    begin: Point,
    middle: Point,
    end: Point,
) -> tuple[State, Powers]:
    """Take one Runge-Kutta step; `begin`, `middle`, `end` hold the road (height, rate, gravity, shift)."""
    k1, w1, _, _, _ = motion(p, y, mode, begin[0], begin[1], begin[2], begin[3])
    half = 0.5 * step
    k2, w2, _, _, _ = motion(p, _ahead(y, k1, half), mode, middle[0], middle[1], middle[2], middle[3])
    k3, w3, _, _, _ = motion(p, _ahead(y, k2, half), mode, middle[0], middle[1], middle[2], middle[3])
    k4, w4, _, _, _ = motion(p, _ahead(y, k3, step), mode, end[0], end[1], end[2], end[3])
    return _ahead(y, _mean(k1, k2, k3, k4), step), _summed(work, step, w1, w2, w3, w4)


@inlined
def _at(road: Array, n: int) -> Point:
    """Return the road at half step `n`."""
    return road[n, 0], road[n, 1], road[n, 2], road[n, 3]


@inlined
def _between(a: Point, b: Point, c: Point, share: float) -> Point:
    """Return the parabola through the road at a step's begin, middle and end, at `share` of the step."""
    u = (2.0 * share - 1.0) * (share - 1.0)
    v = 4.0 * share * (1.0 - share)
    w = share * (2.0 * share - 1.0)
    return (
        u * a[0] + v * b[0] + w * c[0],
        u * a[1] + v * b[1] + w * c[1],
        u * a[2] + v * b[2] + w * c[2],
        u * a[3] + v * b[3] + w * c[3],
    )


@inlined
def _stopped(p: RideParameters, y: State, work: Powers) -> tuple[State, Powers]:
    """Bring the remnant of the sliding speed at a turning point to zero and book its energy to friction."""
    lost = sliding_energy(p, y)
    still = State(
        y[0], y[1], y[2], 0.0, y[4], y[5], y[6], y[7], y[8], y[9], y[10], y[11], y[12], y[13]
    )  # fmt: skip
    return still, Powers(work[0], work[1], work[2], work[3] + lost, work[4], work[5], work[6], work[7])


@inlined
def _within_stops(p: RideParameters, y: State) -> State:
    """Bring a floating piston that ran past a stop back to it, both gases following their adiabats."""
    floating = min(max(y.floating, 0.0), p.floating_stroke)
    if floating == y.floating:
        return y
    back, work = floating - y.floating, p.gas_ratio - 1.0
    positive_volume = (
        p.positive_volume - p.positive_area * stroke_and_lever(p, y.travel)[0] + p.floating_area * floating
    )
    positive = y.positive * (1.0 - work * p.floating_area * back / positive_volume)
    secondary_volume = p.floating_volume - p.floating_back_area * floating
    secondary = y.secondary * (1.0 + work * p.floating_back_area * back / secondary_volume)
    return State(
        y[0], y[1], y[2], y[3], y[4], y[5], positive, y[7], y[8], y[9], secondary, floating, y[12], y[13]
    )  # fmt: skip


@inlined
def _mode_at_rest(p: RideParameters, holding: float, friction: float) -> float:
    """Return the friction mode of a wheel at rest along its path."""
    if abs(holding) <= p.breakaway * friction:
        return 0.0
    return math.copysign(1.0, holding)


@part
def _turned(
    p: RideParameters,
    y: State,
    work: Powers,
    mode: float,
    step: float,
    share: float,
    begin: Point,
    middle: Point,
    end: Point,
) -> tuple[State, Powers, float]:
    """Take a step during which the wheel turns round, in two parts; return also the mode it ends in."""
    turn = _between(begin, middle, end, share)
    if share > 0.0:
        quarter = _between(begin, middle, end, 0.5 * share)
        y, work = _step(p, y, work, mode, share * step, begin, quarter, turn)
    y, work = _stopped(p, y, work)
    _, _, _, friction, holding = motion(p, y, 0.0, turn[0], turn[1], turn[2], turn[3])
    mode = _mode_at_rest(p, holding, friction)
    quarter = _between(begin, middle, end, 0.5 * (1.0 + share))
    y, work = _step(p, y, work, mode, (1.0 - share) * step, turn, quarter, end)
    if y.speed * mode < 0.0:
        y, work = _stopped(p, y, work)
        mode = 0.0
    return y, work, mode


@compiled
def run(
    p: RideParameters, start: State, road: Array, step: float, series: Array
) -> tuple[State, Powers, int]:
    """Step through a course and record it.

    Parameters
    ----------
    p
        `RideParameters`.
    start
        `State` at the beginning.
    road
        Height (m), its rate (m/s), gravity (m/s^2) and load shift (N) at every half step, shape (2 n + 1, 4).
    step
        Step length, s.
    series
        Filled with the recorded `SERIES`, shape (n + 1, 8).

    Returns
    -------
    The `State` at the end, the works (`Powers` summed, J), and the number of steps in which the unit was
    stuck.
    """
    y = start
    work = Powers(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    has_friction = p.friction_force > 0.0 or p.friction_per_load > 0.0 or p.friction_per_pressure > 0.0
    mode = 0.0 if has_friction else 1.0
    count = (road.shape[0] - 1) // 2
    stuck = 0
    for n in range(count + 1):
        begin = _at(road, 2 * n)
        if mode == 0.0:
            _, _, _, friction, holding = motion(p, y, mode, begin[0], begin[1], begin[2], begin[3])
            mode = _mode_at_rest(p, holding, friction)
            stuck += mode == 0.0
        k1, w1, tyre, _, _ = motion(p, y, mode, begin[0], begin[1], begin[2], begin[3])
        series[n, 0] = y.travel
        series[n, 1] = y.speed
        series[n, 2] = y.height
        series[n, 3] = k1.rise
        series[n, 4] = tyre
        series[n, 5] = y.positive
        series[n, 6] = y.floating
        series[n, 7] = y.rider_height
        if n == count:
            break
        middle, end = _at(road, 2 * n + 1), _at(road, 2 * n + 2)
        half = 0.5 * step
        k2, w2, _, _, _ = motion(p, _ahead(y, k1, half), mode, middle[0], middle[1], middle[2], middle[3])
        k3, w3, _, _, _ = motion(p, _ahead(y, k2, half), mode, middle[0], middle[1], middle[2], middle[3])
        k4, w4, _, _, _ = motion(p, _ahead(y, k3, step), mode, end[0], end[1], end[2], end[3])
        y_new = _ahead(y, _mean(k1, k2, k3, k4), step)
        if has_friction and y_new.speed * mode < 0.0:
            share = y.speed / (y.speed - y_new.speed)
            y, work, mode = _turned(p, y, work, mode, step, share, begin, middle, end)
        else:
            y, work = y_new, _summed(work, step, w1, w2, w3, w4)
        if p.floating_area > 0.0:
            y = _within_stops(p, y)
    return y, work, stuck
