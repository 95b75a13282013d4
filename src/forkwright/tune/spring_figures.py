"""The figures a technician reads off a spring curve, and what one step of each setting changes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Load, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.limits import faults_of_setting
from forkwright.units import InputError

SUPPORT_FROM, SUPPORT_AT = 0.30, 0.50


@dataclass(frozen=True)
class SpringFigures:
    """Figures of one spring curve, SI."""

    end_force: float  # N at full travel, bumper included
    end_pressure: float  # Pa absolute in the positive chamber at full travel, slow
    end_pressure_fast: float  # the same in the fast limit
    energy: float  # J to push the unit through its whole travel, slow
    energy_fast: float  # J, fast limit
    midstroke_support: float  # force at 50 % over force at 30 % of the travel


@dataclass(frozen=True)
class StepEffect:
    """What one step of one setting changes: differences after minus before, SI."""

    what: str  # "pressure", "spacer", "secondary pressure", "negative pressure"
    step: float  # size of the step: Pa, or 1 spacer
    sag: float  # m, middle of the sag band
    half_force: float  # N at half travel
    end_force: float  # N at full travel
    end_pressure: float  # Pa, positive chamber at full travel


def spring_figures(slow: SpringCurve, fast: SpringCurve) -> SpringFigures:
    """Return the figures of a unit's slow and fast spring curve.

    Notes
    -----
    Energy is the work of the friction-free force over the travel, trapezoidal rule. Midstroke support is an
    own definition: the slow force at half travel over that at 30 % of the travel.
    """
    at_half, at_third = np.interp([SUPPORT_AT, SUPPORT_FROM], slow.travel / slow.travel[-1], slow.force)
    return SpringFigures(
        end_force=float(slow.force[-1]),
        end_pressure=float(slow.positive[-1]),
        end_pressure_fast=float(fast.positive[-1]),
        energy=float(np.trapezoid(slow.force, slow.travel)),
        energy_fast=float(np.trapezoid(fast.force, fast.travel)),
        midstroke_support=float(at_half / at_third) if at_third > 0.0 else 0.0,
    )


def step_effects(
    unit: Unit,
    setting: Setting,
    load: Load,
    *,
    side_load: float,
    conditions: Conditions | None,
    pump_step: float,
    secondary_step: float,
) -> tuple[StepEffect, ...]:
    """Return what one more step of each setting does; at a limit, what one step less does, with its sign."""
    found = []
    for what, entry, step in (
        ("pressure", "pressure", pump_step),
        ("spacer", "spacers", 1.0),
        ("secondary pressure", "floating", secondary_step),
        ("negative pressure", "negative_pressure", pump_step),
    ):
        for signed in (step, -step):
            other = stepped(unit, setting, entry, signed)
            if other is not None:
                found.append(_effect(unit, setting, other, what, signed, load, side_load, conditions))
                break
    return tuple(found)


def stepped(unit: Unit, setting: Setting, entry: str, step: float) -> Setting | None:
    """Return the setting one step on, or None where the unit has no such setting or its limit is reached."""
    now = getattr(setting, entry)
    if now is None or (entry == "spacers" and (unit.air_spring is None or unit.air_spring.spacers is None)):
        return None
    new = now + int(step) if entry == "spacers" else now.si + step
    if new < 0:
        return None
    try:
        other = setting.changed(**{entry: new})
    except InputError:  # the end of what any pump is asked for
        return None
    return None if faults_of_setting(unit, other) else other


def _effect(
    unit: Unit,
    setting: Setting,
    other: Setting,
    what: str,
    step: float,
    load: Load,
    side_load: float,
    conditions: Conditions | None,
) -> StepEffect:
    before, after = (spring_curve(unit, s, conditions) for s in (setting, other))
    rests = [sag(unit, load, s, conditions, side_load=side_load).middle for s in (setting, other)]
    half = before.travel.size // 2
    return StepEffect(
        what=what,
        step=step,
        sag=float(rests[1] - rests[0]),
        half_force=float(after.force[half] - before.force[half]),
        end_force=float(after.force[-1] - before.force[-1]),
        end_pressure=float(after.positive[-1] - before.positive[-1]),
    )
