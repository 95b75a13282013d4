"""The ride once more with SciPy's general solver: plain Python, written apart from the compiled kernel.

Friction is followed exactly: the solver stops where the wheel turns round or breaks away, and starts again in
the other mode. The ground is a smooth cubic through the half steps the kernel sees.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

NAMES = (
    "height", "travel", "rise", "speed", "rider_height", "rider_rise",
    "positive", "negative", "spring_leg", "damper_leg", "secondary", "floating", "compression", "shaft",
)  # fmt: skip

FIRST_STEP = 2e-5
"""After each turn the solver begins with so short a step (s) that it cannot pass over the next turn."""


class Twin:
    """The equations of motion over one road; `evaluations` counts calls of the right-hand side."""

    def __init__(self, p: Any, road: np.ndarray, step: float) -> None:
        self.p = p
        self.half = 0.5 * step
        self.rows = road.tolist()
        self.last = len(self.rows) - 2
        self.damper = p.damper_force.tolist()
        self.evaluations = 0

    def road(self, time: float) -> list[float]:
        place = min(max(int(time / self.half), 0), self.last)
        u = time / self.half - place
        (h0, r0, g0, s0), (h1, r1, g1, s1) = self.rows[place], self.rows[place + 1]
        rise, rate0, rate1 = h1 - h0, r0 * self.half, r1 * self.half
        bend, twist = 3.0 * rise - 2.0 * rate0 - rate1, rate0 + rate1 - 2.0 * rise
        height = h0 + u * (rate0 + u * (bend + u * twist))
        rate = (rate0 + u * (2.0 * bend + 3.0 * u * twist)) / self.half
        return [height, rate, g0 + u * (g1 - g0), s0 + u * (s1 - s0)]

    def forces(self, time: float, y: Any) -> tuple[float, ...]:
        """Return tyre, heave, slide and friction (N), the pressures of the four chambers (Pa), the positive
        chamber's room (m3), the rider's push on the bike (N) and gravity (m/s2)."""
        p = self.p
        ground, ground_rate, gravity, shift = self.road(time)
        x, v = float(y[1]), float(y[3])
        floating = self.piston(x, y)
        v_plus = p.positive_volume - p.positive_area * x + p.floating_area * floating
        p_plus = float(y[6]) / v_plus
        p_minus = float(y[7]) / (p.negative_volume + p.negative_area * x)
        p_a = float(y[8]) / (p.spring_leg_volume - p.spring_leg_area * x)
        p_b = float(y[9]) / (p.damper_leg_volume - p.damper_leg_area * x)
        unit = p.positive_area * (p_plus - p.ambient) - p.negative_area * (p_minus - p.ambient)
        unit += p.spring_leg_area * (p_a - p.ambient) + p.damper_leg_area * (p_b - p.ambient)
        unit += p.coil_force + p.coil_rate * x + p.damper_push + self.damper_at(v)
        if x < p.negative_coil_length:
            unit -= p.negative_coil_rate * (p.negative_coil_length - x)
        if x < 0.0:
            unit += p.top_out_rate * x
        touched = x + p.bumper_length - p.travel
        if touched > 0.0:
            unit += p.bumper_rate * p.bumper_length * (touched / p.bumper_length) ** p.bumper_exponent
        if x > p.travel:
            unit += p.stop_rate * (x - p.travel)
        deflection = ground - float(y[0]) - p.axis_sine * x
        closing = ground_rate - float(y[2]) - p.axis_sine * v
        tyre = (
            max(0.0, p.tyre_stiffness * deflection * (1.0 + p.tyre_loss * closing)) if deflection > 0 else 0.0
        )
        arms = 0.0
        if p.rider_mass > 0.0:
            arms = p.rider_mass * 9.80665 + p.rider_stiffness * float(y[0] - y[4])
            arms += p.rider_damping * float(y[2] - y[5])
        heave = tyre + shift - arms - gravity * (p.sprung_mass + p.unsprung_mass)
        slide = p.axis_sine * (tyre - gravity * p.unsprung_mass) - unit
        friction = p.friction_force + p.friction_per_load * tyre
        friction += p.friction_per_pressure * max(p_plus - p.ambient, 0.0)
        return tyre, heave, slide, friction, p_plus, p_minus, p_a, p_b, v_plus, arms, gravity

    def damper_at(self, speed: float) -> float:
        p = self.p
        where = (speed - p.damper_lowest_speed) / p.damper_speed_step
        place = min(max(math.floor(where), 0), len(self.damper) - 2)
        return self.damper[place] + (where - place) * (self.damper[place + 1] - self.damper[place])

    def holding(self, time: float, y: Any) -> float:
        """Return the force that friction must bear to hold the wheel, less what it can bear (negative:
        held)."""
        _, heave, slide, friction, *_ = self.forces(time, y)
        return abs(slide - self.hold_share() * heave) - self.p.breakaway * friction

    def hold_share(self) -> float:
        p = self.p
        return p.unsprung_mass * p.axis_sine / (p.sprung_mass + p.unsprung_mass)

    def rates(self, time: float, y: Any, mode: float) -> list[float]:
        self.evaluations += 1
        p = self.p
        _, heave, slide, friction, p_plus, p_minus, p_a, p_b, v_plus, arms, gravity = self.forces(time, y)
        v = float(y[3])
        # mass matrix [[ms + mu, mu s], [mu s, mu]] times (body, wheel path) accelerations
        m11, m12, m22 = p.sprung_mass + p.unsprung_mass, p.unsprung_mass * p.axis_sine, p.unsprung_mass
        if mode == 0.0:
            rise_rate, speed_rate = heave / m11, 0.0
        else:
            slide -= mode * friction
            determinant = m11 * m22 - m12 * m12
            rise_rate = (m22 * heave - m12 * slide) / determinant
            speed_rate = (m11 * slide - m12 * heave) / determinant
        floating_speed, secondary_rate = self.floating(y, p_plus, v_plus, v)
        g = p.gas_ratio
        warm = 0.0 if g == 1.0 else 1.0
        swept = p.positive_area * v - p.floating_area * floating_speed
        return [
            float(y[2]), v, rise_rate, speed_rate,
            float(y[5]) if p.rider_mass else 0.0, arms / p.rider_mass - gravity if p.rider_mass else 0.0,
            (g - 1) * p_plus * swept + warm * (p.positive_content - float(y[6])) * p.positive_heat_rate,
            (1 - g) * p_minus * p.negative_area * v
            + warm * (p.negative_content - float(y[7])) * p.negative_heat_rate,
            (g - 1) * p_a * p.spring_leg_area * v
            + warm * (p.spring_leg_content - float(y[8])) * p.lower_leg_heat_rate,
            (g - 1) * p_b * p.damper_leg_area * v
            + warm * (p.damper_leg_content - float(y[9])) * p.lower_leg_heat_rate,
            secondary_rate, 0.0, 0.0, 0.0,
        ]  # fmt: skip

    def piston(self, x: float, y: Any) -> float:
        """Return where the floating piston balances its two sides (equal areas, no friction), within its
        stops."""
        p = self.p
        if p.floating_area == 0.0:
            return 0.0
        assert p.floating_area == p.floating_back_area
        assert p.floating_friction == 0.0
        one, two, area = float(y[6]), float(y[10]), p.floating_area
        balance = one * p.floating_volume - two * (p.positive_volume - p.positive_area * x)
        return min(max(balance / (area * (one + two)), 0.0), p.floating_stroke)

    def floating(self, y: Any, p_plus: float, v_plus: float, v: float) -> tuple[float, float]:
        """Return the floating piston's speed and the secondary chamber's rate."""
        p = self.p
        if p.floating_area == 0.0:
            return 0.0, 0.0
        g, warm = p.gas_ratio, 0.0 if p.gas_ratio == 1.0 else 1.0
        at = self.piston(float(y[1]), y)
        v_two = p.floating_volume - p.floating_area * at
        p_two = float(y[10]) / v_two
        heat = warm * (p.floating_content - float(y[10])) * p.floating_heat_rate
        heat_plus = warm * (p.positive_content - float(y[6])) * p.positive_heat_rate
        # equal pressures stay equal: the rates of both, set equal, give the piston's speed
        push = (g * p_plus * p.positive_area * v + heat_plus) / v_plus - heat / v_two
        speed = push / (g * p.floating_area * (p_plus / v_plus + p_two / v_two))
        if (at <= 0.0 and p_plus <= p_two) or (at >= p.floating_stroke and p_plus >= p_two):
            speed = 0.0
        return speed, (g - 1) * p_two * p.floating_area * speed + heat


def ride_with_solver(
    p: Any, road: np.ndarray, step: float, start: Any, method: str = "Radau", rtol: float = 1e-6
) -> tuple[np.ndarray, int]:
    """Return the states at every step, shape (n + 1, 14), and the number of right-hand sides evaluated.

    Raises RuntimeError where the solver gives up, or stands still between two turns of the wheel.
    """
    twin = Twin(p, road, step)
    count = (road.shape[0] - 1) // 2
    times = step * np.arange(count + 1)
    states = np.empty((count + 1, len(NAMES)))
    scale = np.array([1e-3, 1e-3, 1e-2, 1e-2, 1e-3, 1e-2, 1.0, 1.0, 1.0, 1.0, 1.0, 1e-3, 1e5, 1e5])
    y, now, filled = np.array(start, dtype=float), 0.0, 0
    has_friction = p.friction_force > 0.0 or p.friction_per_load > 0.0 or p.friction_per_pressure > 0.0
    mode, idle = 1.0, 0
    if has_friction:
        mode = _mode_at_rest(twin, now, y)
    while filled <= count:
        events = _events(twin, mode) if has_friction else None
        found = solve_ivp(
            twin.rates, (now, times[-1]), y, method=method, args=(mode,), rtol=rtol, atol=rtol * scale,
            max_step=4.0 * step, dense_output=True, events=events,
            first_step=min(FIRST_STEP, times[-1] - now) if has_friction and times[-1] > now else None,
        )  # fmt: skip
        if not found.success:
            raise RuntimeError(f"the solver gives up at {found.t[-1]} s: {found.message}")
        end = found.t[-1]
        inside = int(np.searchsorted(times, end + 1e-12, side="right"))
        if inside > filled:
            states[filled:inside] = found.sol(np.minimum(times[filled:inside], end)).T
            filled = inside
        if found.status != 1:
            break
        idle = idle + 1 if end - now < 1e-9 else 0
        if idle > 50:
            raise RuntimeError(f"the solver makes no headway at {end} s")
        now, y = end, found.y[:, -1].copy()
        y[3] = 0.0
        mode = _direction(twin, now, y) if mode == 0.0 else _mode_at_rest(twin, now, y)
    if filled <= count:
        raise RuntimeError(f"the solver stops after {filled} of {count + 1} states")
    return states, twin.evaluations


def _mode_at_rest(twin: Twin, time: float, y: Any) -> float:
    return 0.0 if twin.holding(time, y) <= 1e-9 else _direction(twin, time, y)


def _direction(twin: Twin, time: float, y: Any) -> float:
    """Return the way in which the wheel would move if nothing held it."""
    _, heave, slide, *_ = twin.forces(time, y)
    return math.copysign(1.0, slide - twin.hold_share() * heave)


def _events(twin: Twin, mode: float) -> Any:
    if mode == 0.0:

        def breaks_away(time: float, y: Any, _mode: float) -> float:
            return twin.holding(time, y)

        breaks_away.terminal, breaks_away.direction = True, 1.0
        return breaks_away

    def turns(_time: float, y: Any, _mode: float) -> float:
        return y[3]

    turns.terminal, turns.direction = True, -mode
    return turns
