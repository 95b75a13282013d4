"""Fork and shock as the pitch-plane ride takes them: tables over the vertical travel of their wheels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.bench.lower_legs import reachable_travel
from forkwright.bench.rear_linkage import fit_notes, full_wheel_travel, linkage_of
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Bike, Setting, Unit
from forkwright.physics.gas import ADIABATIC
from forkwright.ride.damping import bench_table
from forkwright.ride.options import DampingTable
from forkwright.ride.parameters import FULL_TRAVEL_STOP_RATE
from forkwright.units import InputError

Array = NDArray[np.float64]

POINTS = 401
FASTEST = 5.0
"""Reach of the damping tables, m/s at the shaft; beyond it the last slope is carried on."""


@dataclass(frozen=True)
class WheelEnd:
    """One end of a bike at its wheel; arrays over vertical wheel travels, shape (n,), SI."""

    unit: Unit
    travel: Array  # m, vertical, from 0, even
    stroke: Array  # m, of the unit
    lever: Array  # stroke per vertical wheel travel
    spring: Array  # N at the wheel, slow, friction-free, the damper's gas included
    rate: Array  # N/m at the wheel, slow
    stiffening: Array  # N/m at the wheel: fast rate less slow rate
    friction: Array  # N at the wheel
    top_out: float  # N/m at the wheel, at its start
    stop: float  # N/m at the wheel, at its end
    damping: DampingTable | None  # at the shaft; None: no damper in the file
    warnings: tuple[str, ...]

    @property
    def full(self) -> float:
        """Full vertical travel of the wheel, m."""
        return float(self.travel[-1])


def front_end(fork: Unit, bike: Bike, setting: Setting, conditions: Conditions, side_load: float) -> WheelEnd:
    """Return the front end: a wheel that moves along the fork's axis, seen vertically.

    Parameters
    ----------
    fork, bike, setting, conditions
        As in `forkwright.bench.spring.spring_curve`.
    side_load : float
        Across the leg axis, N; it presses the bushings.

    Notes
    -----
    Source: virtual work (derived): along an axis at the angle t from the ground the wheel rises by ``sin t``
    of the fork's travel, so a force along the axis counts ``1 / sin t`` vertically.
    """
    if fork.kind != "fork":
        raise InputError("the front end is a fork", key="kind", value=fork.kind, allowed="fork")
    sine = float(np.sin(bike.head_angle.si))
    stroke = np.linspace(0.0, reachable_travel(fork), POINTS)
    lever = np.full(POINTS, 1.0 / sine)
    return _end(fork, stroke * sine, stroke, lever, np.zeros(POINTS), setting, conditions, side_load, ())


def rear_end(shock: Unit, bike: Bike, setting: Setting, conditions: Conditions) -> WheelEnd:
    """Return the rear end: a wheel that moves vertically and works the shock through the linkage.

    Notes
    -----
    Source: virtual work (derived), see `forkwright.physics.leverage.Linkage`.
    """
    if shock.kind != "shock":
        raise InputError("the rear end is a shock", key="kind", value=shock.kind, allowed="shock")
    link = linkage_of(bike)
    travel = np.linspace(0.0, full_wheel_travel(shock, link), POINTS)
    stroke = np.minimum(link.stroke_at(travel), float(shock.travel.si))
    return _end(
        shock, travel, stroke, link.motion_ratio(travel), link.bend(travel), setting, conditions, 0.0,
        fit_notes(shock, link),
    )  # fmt: skip


def _end(
    unit: Unit,
    travel: Array,
    stroke: Array,
    lever: Array,
    bend: Array,
    setting: Setting,
    conditions: Conditions,
    side_load: float,
    notes: tuple[str, ...],
) -> WheelEnd:
    slow = spring_curve(unit, setting, conditions, travel=stroke, side_load=side_load)
    fast = spring_curve(unit, setting, conditions, travel=stroke, side_load=side_load, exponent=ADIABATIC)
    push = gas_push(unit, conditions)(stroke)
    force = slow.force + push
    rate = (slow.rate + np.gradient(push, stroke)) * lever**2 + force * bend
    damping: DampingTable | None = None
    damping_notes: tuple[str, ...] = ("it has no damper in its file: none is taken",)
    if unit.damper is not None:
        damping, damping_notes = bench_table(unit, setting, conditions)
    top = unit.bumpers.top_out
    return WheelEnd(
        unit=unit,
        travel=travel,
        stroke=stroke,
        lever=lever,
        spring=force * lever,
        rate=rate,
        stiffening=(fast.rate - slow.rate) * lever**2,
        friction=(slow.friction + seal_of(unit)) * lever,
        top_out=(top.rate.si if top is not None else FULL_TRAVEL_STOP_RATE) * float(lever[0]) ** 2,
        stop=FULL_TRAVEL_STOP_RATE * float(lever[-1]) ** 2,
        damping=damping,
        warnings=tuple(f"{unit.name}: {note}" for note in (*slow.warnings, *damping_notes, *notes)),
    )
