"""The pitch-plane kernel: body, two wheels, two units, in fixed Runge-Kutta steps of order 4.

Compiled by Numba; imported only where it is called. The equations stand in docs/rear.md, "Both ends". All
that is compiled stands in this one file, so that the library's own watch on it keeps the stored code fresh.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]

FRONT = 0
"""Place of the front wheel in an array of two; the rear's is 1."""

SERIES = (
    "heave",
    "pitch",
    "front_travel",
    "rear_travel",
    "front_tyre",
    "rear_tyre",
    "heave_rate2",
    "pitch_rate2",
)
"""Recorded at each step: m, rad (nose-up), m and m (wheels, vertical), N, N, m/s2, rad/s2."""

Kernel = TypeVar("Kernel", bound=Callable[..., Any])


def _inlined(function: Kernel) -> Kernel:
    inner: Any = njit(inline="always")(function)
    whole: Kernel = inner
    return whole


def _compiled(function: Kernel) -> Kernel:
    outer: Any = njit(cache=True)(function)
    whole: Kernel = outer
    return whole


class PitchParameters(NamedTuple):
    """What stays the same during a ride; arrays of two hold front and rear. SI.

    Tables lie over evenly spaced vertical wheel travels from 0, shape (2, n); the damper's over evenly spaced
    shaft speeds, shape (2, m).
    """

    mass: float
    inertia: float
    arm: Array  # m from the mass centre to the axle; the rear's below zero
    unsprung: Array  # kg
    tyre_stiffness: float
    tyre_loss: float  # s/m, see physics.tyre.contact_force
    full: Array  # m, vertical wheel travel
    step: Array  # m between two entries of the tables
    spring: Array  # N at the wheel, slow
    stiffening: Array  # N/m: rate of the fast gas less that of the slow, at the wheel
    relaxation: float  # 1/s; 0: the gas never gives its heat away
    lever: Array  # stroke per vertical wheel travel
    friction: Array  # N at the wheel
    friction_rate: float  # N/m: what holds before friction slips
    top_out: Array  # N/m at the wheel
    stop: Array  # N/m at the wheel
    damper: Array  # N at the shaft
    lowest_speed: float  # m/s
    speed_step: float
    level: float  # rad, pitch at rest on flat ground
    righting: float  # N m per rad off the line of the ground, while a wheel is off it
    righting_damping: float  # N m s
    righting_limit: float  # N m


@_inlined
def _table(values: Array, position: float) -> float:
    """Straight-line interpolation of evenly spaced values, carried on past the ends."""
    place = min(max(int(position), 0), values.size - 2)
    return float(values[place] + (position - place) * (values[place + 1] - values[place]))


@_inlined
def _clipped(value: float, most: float) -> float:
    return min(max(value, -most), most)


@_compiled
def rates(
    p: PitchParameters, y: Array, held: Array, last: Array, road: Array, out: Array, told: Array
) -> None:
    """Fill `out` with the rates of the state and `told` with tyre forces and friction (N).

    State: heave, pitch, two wheel heights, their speeds, two gas forces. `held` and `last` are friction (N)
    and travel (m) at the step's begin. Road: two heights (m), their two rates, gravity (m/s2), moment (N m,
    nose-up) and what braking takes off the front spring (N). While a wheel is off the ground the rider turns
    the bike towards the line of the ground.
    """
    lift, turn, lost = 0.0, 0.0, False
    for end in range(2):
        travel = y[2 + end] - y[0] - p.arm[end] * y[1]
        speed = y[6 + end] - y[4] - p.arm[end] * y[5]
        inside = min(max(travel, 0.0), p.full[end])
        place = inside / p.step[end]
        lever = _table(p.lever[end], place)
        force = _table(p.spring[end], place) + y[8 + end]
        force += p.top_out[end] * min(travel, 0.0) + p.stop[end] * max(travel - p.full[end], 0.0)
        force += lever * _table(p.damper[end], (lever * speed - p.lowest_speed) / p.speed_step)
        friction = _clipped(
            held[end] + p.friction_rate * (travel - last[end]), _table(p.friction[end], place)
        )
        force += friction
        if end == FRONT:
            force -= road[6]
        deflection = road[end] - y[2 + end]
        closing = road[2 + end] - y[6 + end]
        tyre = 0.0
        if deflection > 0.0:
            tyre = max(p.tyre_stiffness * deflection * (1.0 + p.tyre_loss * closing), 0.0)
        lost = lost or tyre == 0.0
        out[2 + end] = y[6 + end]
        out[6 + end] = (tyre - force) / p.unsprung[end] - road[4]
        moving = speed if 0.0 < travel < p.full[end] else 0.0
        out[8 + end] = _table(p.stiffening[end], place) * moving - p.relaxation * y[8 + end]
        told[end] = tyre
        told[2 + end] = friction
        told[4 + end] = travel
        lift += force
        turn += p.arm[end] * force
    out[0], out[1] = y[4], y[5]
    out[4] = lift / p.mass - road[4]
    if lost:
        line = (road[0] - road[1]) / (p.arm[0] - p.arm[1])
        wanted = p.righting * (line + p.level - y[1]) - p.righting_damping * y[5]
        turn += _clipped(wanted, p.righting_limit)
    out[5] = (turn + road[5]) / p.inertia


@_compiled
def run(p: PitchParameters, start: Array, held: Array, road: Array, step: float, series: Array) -> Array:
    """Step through a course and record it.

    Parameters
    ----------
    p
        `PitchParameters`.
    start
        State at the beginning, shape (10,).
    held
        Friction at the beginning, N, shape (2,).
    road
        See `rates`; every half step, shape (2 n + 1, 7).
    step
        s.
    series
        Filled with `SERIES`, shape (n + 1, 8).

    Returns
    -------
    The state at the end.
    """
    y, friction, last = start.copy(), held.copy(), np.zeros(2)
    k1, k2, k3, k4 = np.zeros(10), np.zeros(10), np.zeros(10), np.zeros(10)
    told, first = np.zeros(6), np.zeros(6)
    for end in range(2):
        last[end] = y[2 + end] - y[0] - p.arm[end] * y[1]
    for n in range(series.shape[0]):
        rates(p, y, friction, last, road[2 * n], k1, first)
        series[n, 0], series[n, 1] = y[0], y[1]
        series[n, 2], series[n, 3] = first[4], first[5]
        series[n, 4], series[n, 5] = first[0], first[1]
        series[n, 6], series[n, 7] = k1[4], k1[5]
        if n == series.shape[0] - 1:
            break
        rates(p, y + 0.5 * step * k1, friction, last, road[2 * n + 1], k2, told)
        rates(p, y + 0.5 * step * k2, friction, last, road[2 * n + 1], k3, told)
        rates(p, y + step * k3, friction, last, road[2 * n + 2], k4, told)
        y += step / 6.0 * (k1 + 2.0 * (k2 + k3) + k4)
        for end in range(2):
            travel = y[2 + end] - y[0] - p.arm[end] * y[1]
            place = min(max(travel, 0.0), p.full[end]) / p.step[end]
            pulled = friction[end] + p.friction_rate * (travel - last[end])
            friction[end] = _clipped(pulled, _table(p.friction[end], place))
            last[end] = travel
    return y
