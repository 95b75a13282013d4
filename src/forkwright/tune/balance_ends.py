"""One end at its sag, seen at the wheel: what it carries, its rate, frequency and damping ratios."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.damping import damping_curve
from forkwright.bench.loads import rear_wheel_load
from forkwright.bench.rear_sag import wheel_sag
from forkwright.bench.sag import Sag
from forkwright.bench.standing import standing_sag
from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics import Unphysical
from forkwright.physics.pitch import end_damping_ratio, end_frequency
from forkwright.physics.values import Array
from forkwright.ride.damping import USUAL_POSITION
from forkwright.ride.pitch_ends import WheelEnd
from forkwright.ride.pitch_layout import Layout

End = Literal["front", "rear"]
SLOW_SPEED = 0.2
"""Vertical wheel speed (m/s) at which damping is read: about that of a body that heaves (own choice)."""


@dataclass(frozen=True)
class EndBalance:
    """One end at its resting travel, seen at the wheel, vertically. SI."""

    end: End
    unit: Unit  # with the setting it was read at
    sag: float  # m of the unit
    sag_low: float
    sag_high: float
    wheel_sag: float  # m of the wheel, vertical
    full: float  # m, full vertical wheel travel
    share: float  # sag over full travel, 0 to 1; of the wheel's travel in the rear
    mass: float  # kg, sprung, that this end carries
    lever: float  # stroke per vertical wheel travel, at the sag
    rate: float  # N/m at the wheel: springs moved fast, as a swinging body moves them
    frequency: float  # Hz, of this end alone
    compression: float  # N s/m at the wheel, at `SLOW_SPEED`
    rebound: float
    compression_ratio: float  # damping ratio, 1 is critical
    rebound_ratio: float

    @property
    def damping(self) -> float:
        """Mean of both directions, N s/m at the wheel."""
        return 0.5 * (self.compression + self.rebound)


def front_balance(
    fork: Unit, end: WheelEnd, rider: Rider, bike: Bike, layout: Layout, conditions: Conditions
) -> EndBalance:
    """Return the fork's end at its sag under the rider."""
    found = standing_sag(fork, rider, bike, None, conditions)
    sine = 1.0 / float(end.lever[0])
    mass = layout.mass * layout.to_rear / layout.wheelbase
    share = float(found.middle) / float(fork.travel.si)
    return _at_sag("front", fork, end, found, float(found.middle) * sine, share, mass, conditions)


def rear_balance(
    shock: Unit, end: WheelEnd, rider: Rider, bike: Bike, layout: Layout, conditions: Conditions
) -> EndBalance:
    """Return the shock's end at its sag under the rider."""
    found = wheel_sag(shock, bike, float(rear_wheel_load(rider, bike)), None, conditions)
    mass = layout.mass * layout.to_front / layout.wheelbase
    share = found.middle / found.full
    return _at_sag("rear", shock, end, found.shock, found.middle, share, mass, conditions)


def _at_sag(
    name: End,
    unit: Unit,
    end: WheelEnd,
    rest: Sag,
    wheel_sag: float,
    share: float,
    mass: float,
    conditions: Conditions,
) -> EndBalance:
    """Read rate, frequency and damping where the unit rests."""
    at = float(np.clip(wheel_sag, 0.0, end.full))
    rate = float(np.interp(at, end.travel, end.rate + end.stiffening))
    if rate <= 0.0:
        raise Unphysical(
            f"{unit.name}: at its sag the rate at the wheel is not above zero: it would not stay there; "
            "check the leverage's points"
        )
    lever = float(np.interp(at, end.travel, end.lever))
    compression, rebound = damping_at(unit, lever, conditions)
    return EndBalance(
        end=name,
        unit=unit,
        sag=float(rest.middle),
        sag_low=float(rest.low),
        sag_high=float(rest.high),
        wheel_sag=wheel_sag,
        full=end.full,
        share=share,
        mass=mass,
        lever=lever,
        rate=rate,
        frequency=float(end_frequency(rate, mass)),
        compression=compression,
        rebound=rebound,
        compression_ratio=float(end_damping_ratio(compression, rate, mass)),
        rebound_ratio=float(end_damping_ratio(rebound, rate, mass)),
    )


def damping_at(unit: Unit, lever: float, conditions: Conditions) -> tuple[float, float]:
    """Return compression and rebound damping at the wheel (N s/m) at `SLOW_SPEED`; zeros without a damper.

    Notes
    -----
    Own definition: force over speed at `SLOW_SPEED`, seal friction and the gas's push taken off; at the wheel
    the shaft's speed and force are both multiplied by the stroke per wheel travel (virtual work).
    """
    force = damping_over_speed(unit, lever, np.array([-SLOW_SPEED, 0.0, SLOW_SPEED]), conditions)
    return float(force[2]) / SLOW_SPEED, float(-force[0]) / SLOW_SPEED


def damping_over_speed(unit: Unit, lever: float, speeds: Array, conditions: Conditions) -> Array:
    """Return the damping force at the wheel (N) over its vertical speed (m/s, with a zero among them).

    Seal friction and the gas's push are taken off; zeros without a damper. Source: as `damping_at`.
    """
    if unit.damper is None:
        return np.zeros_like(speeds)
    curve = damping_curve(
        unit, None, speeds=lever * speeds, position=USUAL_POSITION * float(unit.travel.si),
        ambient_pressure=conditions.ambient_pressure,
    )  # fmt: skip
    force = curve.force - curve.by_path["friction"]
    return np.asarray(lever * (force - force[np.argmin(np.abs(speeds))]), np.float64)
