"""Front and rear together: sag, natural frequencies, damping ratios, and how both ride heights drift."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.damping import damping_curve
from forkwright.bench.loads import rear_wheel_load
from forkwright.bench.rear_sag import wheel_sag
from forkwright.bench.standing import standing_sag
from forkwright.hardware import Bike, Rider, Setting, Unit, with_setting
from forkwright.physics import Unphysical
from forkwright.physics.pitch import (
    Mode,
    PitchBody,
    Tyres,
    dynamic_index,
    end_damping_ratio,
    end_frequency,
    modes,
)
from forkwright.physics.values import Array
from forkwright.ride.attitude import Attitude, Stance, attitudes
from forkwright.ride.course import Course
from forkwright.ride.damping import USUAL_POSITION
from forkwright.ride.pitch import PitchRide, ends_of, simulate_pitch
from forkwright.ride.pitch_ends import WheelEnd
from forkwright.ride.pitch_layout import Layout, layout_of
from forkwright.ride.pitch_options import PitchOptions

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


@dataclass(frozen=True)
class Pair:
    """Both ends and the body they carry."""

    front: EndBalance
    rear: EndBalance
    modes: tuple[Mode, Mode]  # the slower first, through the tyres
    sag_lead: float  # rear share less front share
    frequency_ratio: float  # rear over front
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Balance:
    """Front and rear as they are, and over a course where one was given."""

    pair: Pair
    layout: Layout
    dynamic_index: float
    ride: PitchRide | None
    level: Attitude  # at rest on level ground, the rider in the usual place
    held: Attitude | None  # on the slope, under the brakes and with the shift that were asked for
    warnings: tuple[str, ...]


def balance(
    fork: Unit,
    shock: Unit,
    rider: Rider,
    bike: Bike,
    *,
    fork_setting: Setting | None = None,
    shock_setting: Setting | None = None,
    conditions: Conditions | None = None,
    course: Course | None = None,
    options: PitchOptions | None = None,
    stance: Stance | None = None,
) -> Balance:
    """Return how front and rear stand to each other.

    Parameters
    ----------
    fork, shock : Unit
    rider : Rider
    bike : Bike
        With a leverage curve.
    fork_setting, shock_setting : Setting, optional
        By default those in the files.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    course : Course, optional
        Ridden by both ends for the drift of the ride heights.
    options : PitchOptions, optional
        Tyre, braking, the rider's shift.
    stance : Stance, optional
        A slope and a change of speed that are held.

    Returns
    -------
    Balance

    Raises
    ------
    InputError
        If the units are no fork and shock, the bike has no leverage curve, or a setting is over a limit.

    Notes
    -----
    Source: docs/rear.md, "Balance"; modes and ratios from `forkwright.physics.pitch`.

    Examples
    --------
    >>> import forkwright as fw
    >>> fork, shock, rider, bike = (fw.load(fw.demo_file(n)) for n in
    ...                             ("dunlin-160", "linnet-65", "rider", "bike"))
    >>> found = balance(fork, shock, rider, bike)
    >>> bool(1.0 < found.pair.front.frequency < 4.0)
    True
    """
    conditions, options = conditions or Conditions(), options or PitchOptions()
    layout = layout_of(rider, bike)
    pair = pair_of(
        with_setting(fork, fork_setting), with_setting(shock, shock_setting), rider, bike, conditions, options
    )
    ride = None
    if course is not None:
        ride = simulate_pitch(
            fork, shock, course, rider=rider, bike=bike, fork_setting=fork_setting,
            shock_setting=shock_setting, conditions=conditions, options=options,
        )  # fmt: skip
    notes = (*layout.warnings, *pair.warnings, *(ride.warnings if ride is not None else ()))
    index = float(dynamic_index(layout.mass, layout.inertia, layout.to_front, layout.to_rear))
    ends = ends_of(fork, shock, rider, bike, fork_setting, shock_setting, conditions)
    level, held = attitudes(ends, layout, options, stance, float(bike.head_angle.si))
    return Balance(pair, layout, index, ride, level, held, tuple(dict.fromkeys(notes)))


def pair_of(
    fork: Unit, shock: Unit, rider: Rider, bike: Bike, conditions: Conditions, options: PitchOptions
) -> Pair:
    """Return both ends with the settings that stand in the units, and the modes of the body on them."""
    ends = ends_of(fork, shock, rider, bike, None, None, conditions)
    layout = layout_of(rider, bike)
    stiffness, notes = options.tyre.stiffness()
    front = front_balance(fork, ends[0], rider, bike, layout, conditions)
    rear = rear_balance(shock, ends[1], rider, bike, layout, conditions)
    body = PitchBody(
        layout.mass, layout.inertia, layout.to_front, layout.to_rear, front.rate, rear.rate, front.damping,
        rear.damping,
    )  # fmt: skip
    tyres = Tyres(layout.unsprung_front, layout.unsprung_rear, stiffness, stiffness)
    return Pair(
        front, rear, modes(body, tyres), rear.share - front.share, rear.frequency / front.frequency,
        (*ends[0].warnings, *ends[1].warnings, *notes),
    )  # fmt: skip


def front_balance(
    fork: Unit, end: WheelEnd, rider: Rider, bike: Bike, layout: Layout, conditions: Conditions
) -> EndBalance:
    """Return the fork's end at its sag under the rider."""
    found = standing_sag(fork, rider, bike, None, conditions)
    sine = 1.0 / float(end.lever[0])
    wheel, share = float(found.middle) * sine, float(found.middle) / float(fork.travel.si)
    bare = EndBalance(
        "front", fork, float(found.middle), float(found.low), float(found.high), wheel, end.full, share,
        layout.mass * layout.to_rear / layout.wheelbase, *([0.0] * 7),
    )  # fmt: skip
    return _with_rates(bare, end, conditions)


def rear_balance(
    shock: Unit, end: WheelEnd, rider: Rider, bike: Bike, layout: Layout, conditions: Conditions
) -> EndBalance:
    """Return the shock's end at its sag under the rider."""
    found = wheel_sag(shock, bike, float(rear_wheel_load(rider, bike)), None, conditions)
    bare = EndBalance(
        "rear", shock, float(found.shock.middle), float(found.shock.low), float(found.shock.high),
        found.middle, found.full, found.middle / found.full,
        layout.mass * layout.to_front / layout.wheelbase, *([0.0] * 7),
    )  # fmt: skip
    return _with_rates(bare, end, conditions)


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


def _with_rates(bare: EndBalance, end: WheelEnd, conditions: Conditions) -> EndBalance:
    """Fill in rate, frequency and damping at the sag."""
    at = float(np.clip(bare.wheel_sag, 0.0, end.full))
    rate = float(np.interp(at, end.travel, end.rate + end.stiffening))
    if rate <= 0.0:
        raise Unphysical(
            f"{bare.unit.name}: at its sag the rate at the wheel is not above zero: it would not stay there; "
            "check the leverage's points"
        )
    lever = float(np.interp(at, end.travel, end.lever))
    compression, rebound = damping_at(bare.unit, lever, conditions)
    return replace(
        bare,
        lever=lever,
        rate=rate,
        frequency=float(end_frequency(rate, bare.mass)),
        compression=compression,
        rebound=rebound,
        compression_ratio=float(end_damping_ratio(compression, rate, bare.mass)),
        rebound_ratio=float(end_damping_ratio(rebound, rate, bare.mass)),
    )
