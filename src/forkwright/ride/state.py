"""What changes in time during a ride, and what its energy account adds up: records of the compiled kernel."""

from __future__ import annotations

from typing import NamedTuple


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
