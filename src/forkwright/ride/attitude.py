"""How a bike stands on a slope, under its brakes, and with its rider shifted: both ends at rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics import G0
from forkwright.ride.pitch_ends import WheelEnd
from forkwright.ride.pitch_layout import Layout
from forkwright.ride.pitch_options import PitchOptions, pitching
from forkwright.ride.pitch_rest import resting_travel, static_loads
from forkwright.units import InputError

STEEPEST = 1.0
HARDEST = 12.0  # m/s2


@dataclass(frozen=True)
class Stance:
    """What acts on a bike besides its weight.

    `gradient` is rise over distance along the ground (uphill above zero), `speed_change` in m/s2 (braking
    below zero).
    """

    gradient: float = 0.0
    speed_change: float = 0.0


@dataclass(frozen=True)
class Attitude:
    """Where both ends come to rest. SI; travels are vertical, of the wheels."""

    stance: Stance
    rider_shift: float  # m ahead of the usual place
    front_load: float  # N at the wheel, sprung; zero or less: the wheel lifts
    rear_load: float
    front_travel: float | None  # m; None where a wheel lifts: the bike would go over
    rear_travel: float | None
    fork_travel: float | None  # m of the fork
    shock_stroke: float | None  # m of the shock
    pitch: float | None  # rad, nose-up against the ground, from both ends at full extension

    @property
    def lifts(self) -> str | None:
        """Which wheel lifts: "front", "rear", or None."""
        if self.front_load <= 0.0:
            return "front"
        return "rear" if self.rear_load <= 0.0 else None


def attitude(
    ends: tuple[WheelEnd, WheelEnd],
    layout: Layout,
    options: PitchOptions,
    stance: Stance,
    head_angle: float,
    rider_shift: float = 0.0,
) -> Attitude:
    """Return where both ends come to rest when a stance is held.

    Parameters
    ----------
    ends : tuple of WheelEnd
        Front and rear.
    layout : Layout
    options : PitchOptions
        For the front's share of braking.
    stance : Stance
    head_angle : float
        rad.
    rider_shift : float
        m ahead of the usual place.

    Returns
    -------
    Attitude

    Raises
    ------
    InputError
        If the stance is out of range.

    Notes
    -----
    Source: statics (derived), see `forkwright.ride.pitch_options.pitching`. Friction, tyres and chain pull
    are left out; pitch is the difference of both travels over the wheelbase.
    """
    _check(stance, rider_shift)
    slope = float(np.arctan(stance.gradient))
    pull = np.array([stance.speed_change + G0 * np.sin(slope)])
    gravity = np.array([G0 * np.cos(slope)])
    moment, dive = pitching(pull, gravity, np.array([rider_shift]), layout, options.front_brake, head_angle)
    front_load, rear_load = static_loads(layout, float(gravity[0]), float(moment[0]))
    if min(front_load, rear_load) <= 0.0:
        return Attitude(stance, rider_shift, front_load, rear_load, None, None, None, None, None)
    front_travel = resting_travel(ends[0], front_load + float(dive[0]))
    rear_travel = resting_travel(ends[1], rear_load)
    return Attitude(
        stance,
        rider_shift,
        front_load,
        rear_load,
        front_travel,
        rear_travel,
        _stroke(ends[0], front_travel),
        _stroke(ends[1], rear_travel),
        (rear_travel - front_travel) / layout.wheelbase,
    )


def attitudes(
    ends: tuple[WheelEnd, WheelEnd],
    layout: Layout,
    options: PitchOptions,
    stance: Stance | None,
    head_angle: float,
) -> tuple[Attitude, Attitude | None]:
    """Return how the bike stands on level ground, and under what is asked for; None where nothing is."""
    level = attitude(ends, layout, options, Stance(), head_angle)
    shift = options.rider_shift if isinstance(options.rider_shift, float | int) else 0.0
    wanted = stance or Stance()
    if wanted == Stance() and shift == 0.0:
        return level, None
    return level, attitude(ends, layout, options, wanted, head_angle, float(shift))


def _stroke(end: WheelEnd, travel: float) -> float:
    return float(np.interp(travel, end.travel, end.stroke))


def _check(stance: Stance, rider_shift: float) -> None:
    for name, value, most in (
        ("gradient", stance.gradient, STEEPEST),
        ("speed_change", stance.speed_change, HARDEST),
        ("rider_shift", rider_shift, 0.6),
    ):
        if not abs(value) <= most:
            raise InputError("out of range", key=name, value=f"{value:g}", allowed=f"-{most:g} to {most:g}")
