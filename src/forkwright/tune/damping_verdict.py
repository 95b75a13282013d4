"""Do two dampers, or two settings of one, differ beyond what callipers and friction leave open?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.bands import Band, band_of
from forkwright.bench.damper_difference import COMPARED_SPEEDS
from forkwright.bench.damping import WORKSHOP_OIL
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Setting, Unit, with_setting
from forkwright.physics.values import Array
from forkwright.tune.drawn_damping import damping_force, drawn_damping
from forkwright.tune.paired_draws import paired
from forkwright.units import UnitChoice, show

DRAWS = 40
"""Pairs of dampers drawn; each solves its own shim stacks."""

FRICTION_AT = 0.3
"""Share of the travel at which friction is read (own choice)."""


@dataclass(frozen=True)
class DampingVerdict:
    """Where two dampers differ, over the compared speeds.

    Parameters
    ----------
    speed : array
        m/s.
    difference : array
        Force of B less that of A, N.
    band : Band
        What the tolerances make of it, N.
    friction : float
        Running friction of both units added, N: below that, friction can hide a difference.
    beyond_tolerance, beyond_friction, beyond_both : float
        Shares of the speeds, 0 to 1.
    """

    speed: Array
    difference: Array
    band: Band
    friction: float
    beyond_tolerance: float
    beyond_friction: float
    beyond_both: float


def damping_verdict(
    a: Unit,
    b: Unit,
    setting_a: Setting | None = None,
    setting_b: Setting | None = None,
    *,
    oil_temperature: float = WORKSHOP_OIL,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> DampingVerdict | None:
    """Return whether two dampers differ beyond tolerance and friction; None where either unit has none.

    Parameters
    ----------
    a, b : Unit
    setting_a, setting_b : Setting, optional
        By default those in the files.
    oil_temperature : float
        K, in both.
    draws, seed : int
    progress : callable, optional
        Told the share done; may raise to stop.

    Notes
    -----
    Own definition, as `verdict.verdict`: tolerance by the 5 % to 95 % band of the difference, friction by the
    running friction of both springs at 30 % of the travel and of both dampers' seals.
    """
    if a.damper is None or b.damper is None:
        return None
    settings = (setting_a or a.setting, setting_b or b.setting)
    speed = np.array(COMPARED_SPEEDS)
    first, second = (
        damping_force(unit, setting, speed, oil_temperature)
        for unit, setting in zip((a, b), settings, strict=True)
    )
    many = paired(with_setting(a, settings[0]), with_setting(b, settings[1]), draws, seed)
    moved = drawn_damping(a, b, *many, *settings, speed, oil_temperature, draws, progress)
    difference = second - first
    band = band_of(np.ascontiguousarray((difference + moved).T))
    friction = sum(_friction(unit, setting) for unit, setting in zip((a, b), settings, strict=True))
    sure = (band.low > 0.0) | (band.high < 0.0)
    felt = np.abs(difference) > friction
    shares = (float(np.mean(mask)) for mask in (sure, felt, sure & felt))
    return DampingVerdict(speed, difference, band, friction, *shares)


def damping_words(found: DampingVerdict, units: UnitChoice | None = None) -> str:
    """Return the verdict on the dampers in one sentence."""
    worst = int(np.argmax(np.abs(found.difference)))
    way = "compression" if found.speed[worst] > 0.0 else "rebound"
    most = (
        f"most in {way} at {show(abs(float(found.speed[worst])), 'speed', units)}, by "
        f"{show(abs(float(found.difference[worst])), 'force', units)}"
    )
    if found.beyond_both > 0.0:
        count = round(found.beyond_both * found.speed.size)
        where = f"at {count} of {found.speed.size} speeds"
        return f"Their dampers differ beyond tolerance and friction {where}, {most}."
    if found.beyond_tolerance > 0.0:
        return f"Their dampers differ beyond the tolerances, but by no more than friction can hide; {most}."
    if found.beyond_friction > 0.0:
        return f"Their dampers may differ, {most}, but the measurements cannot tell it from none."
    return "Neither the measurements nor friction let their dampers be told apart."


def _friction(unit: Unit, setting: Setting) -> float:
    at = np.array([FRICTION_AT * unit.travel.si])
    seal = unit.damper.seal_friction if unit.damper is not None else None
    running = float(spring_curve(unit, setting, travel=at).friction[0])
    return running + (float(seal.si) if seal is not None else 0.0)
