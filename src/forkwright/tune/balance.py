"""Front and rear together: sag, natural frequencies, damping ratios, and how both ride heights drift."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Setting, Unit, with_setting
from forkwright.physics.pitch import (
    Mode,
    PitchBody,
    Tyres,
    dynamic_index,
    modes,
)
from forkwright.ride.attitude import Attitude, Stance, attitudes
from forkwright.ride.course import Course
from forkwright.ride.pitch import PitchRide, ends_of, simulate_pitch
from forkwright.ride.pitch_layout import Layout, layout_of
from forkwright.ride.pitch_options import PitchOptions
from forkwright.tune.balance_ends import EndBalance, front_balance, rear_balance


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
