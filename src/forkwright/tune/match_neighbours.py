"""How flat a match is: what one step away from it leaves, and how far the pressure may be off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.damping import damping_curve
from forkwright.bench.nearest_clicks import NearestClicks
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.limits import faults_of_setting
from forkwright.tune.nearest_coil import COIL_STEP, MOST_PRELOAD, PRELOAD_STEP, NearestCoil, with_rate
from forkwright.tune.nearest_spring import NearestSpring
from forkwright.tune.spring_figures import stepped
from forkwright.tune.use import Use

ROOM = 1.1
"""Share of the remainder up to which a pressure counts as just as good (own choice)."""

LEAST_ROOM = 0.05
"""N by which the remainder may grow in any case (own choice)."""


@dataclass(frozen=True)
class Neighbour:
    """What one step away from the match costs: how flat the optimum is.

    `rms` is the weighted force difference after the step, N; spring or damping according to the adjuster.
    """

    adjuster: str
    step: float  # Pa, spacers, clicks; N/m for a coil's rate, m for its preload
    rms: float


def spring_neighbours(
    unit: Unit,
    setting: Setting,
    target: SpringCurve,
    spring: NearestSpring | None,
    conditions: Conditions | None,
    pump_step: float,
    secondary_step: float,
) -> tuple[Neighbour, ...]:
    """Return what one and two steps either way of every pressure and the spacers leave."""
    if spring is None:
        return ()
    found = []
    for entry, step in (
        ("pressure", pump_step),
        ("spacers", 1.0),
        ("floating", secondary_step),
        ("negative_pressure", pump_step),
    ):
        for signed in (-2 * step, -step, step, 2 * step):
            other = stepped(unit, setting, entry, signed)
            if other is not None:
                found.append(Neighbour(entry, signed, spring_rms(unit, other, target, spring, conditions)))
    return tuple(found)


def click_neighbours(
    unit: Unit, setting: Setting, clicks: NearestClicks | None, use: Use, oil_temperature: float
) -> tuple[Neighbour, ...]:
    """Return what one click either way leaves: weighted rms of the damping difference."""
    if clicks is None or unit.damper is None:
        return ()
    ranges = unit.damper.click_ranges()
    here = damping_curve(unit, setting, oil_temperature, use.speed).force
    found = []
    for name, number in clicks.clicks.items():
        for direction in (-1, 1):
            if 0 <= number + direction <= ranges[name]:
                other = setting.changed(**{name: number + direction})
                moved = damping_curve(unit, other, oil_temperature, use.speed).force - here
                rms = float(np.sqrt((clicks.remainder + moved) ** 2 @ use.speed_weight))
                found.append(Neighbour(name, float(direction), rms))
    return tuple(found)


def coil_neighbours(
    unit: Unit, setting: Setting, target: SpringCurve, coil: NearestCoil | None, conditions: Conditions | None
) -> tuple[Neighbour, ...]:
    """Return what the next coil either way and half a millimetre of preload either way leave."""
    if coil is None:
        return ()
    wanted = np.interp(coil.travel, target.travel, target.force)
    found = []
    for entry, step in (("rate", COIL_STEP), ("preload", PRELOAD_STEP)):
        for signed in (-step, step):
            rate = coil.rate + (signed if entry == "rate" else 0.0)
            preload = coil.preload + (signed if entry == "preload" else 0.0)
            if rate <= 0.0 or not -1e-9 <= preload <= MOST_PRELOAD + 1e-9:
                continue
            other = with_rate(unit, rate)
            force = spring_curve(
                other, setting.changed(preload=max(preload, 0.0)), conditions, travel=coil.travel
            ).force
            found.append(Neighbour(entry, signed, float(np.sqrt((force - wanted) ** 2 @ coil.weight))))
    return tuple(found)


def spring_rms(
    unit: Unit, setting: Setting, target: SpringCurve, spring: NearestSpring, conditions: Conditions | None
) -> float:
    """Return the weighted rms force difference (N) of a setting from the target, judged as in `spring`."""
    curve = spring_curve(unit, setting, conditions, travel=spring.travel)
    wanted = np.interp(spring.travel, target.travel, target.force)
    return float(np.sqrt((curve.force - wanted) ** 2 @ spring.weight))


def pressure_room(
    unit: Unit,
    setting: Setting,
    target: SpringCurve,
    spring: NearestSpring | None,
    conditions: Conditions | None,
    pump_step: float,
) -> tuple[float, float] | None:
    """Walk outwards in pump steps until the remainder has grown by a tenth (or a limit is met)."""
    if spring is None or setting.pressure is None:
        return None
    allowed = ROOM * spring.rms + LEAST_ROOM
    ends = []
    for direction in (-1, 1):
        pressure = setting.pressure.si
        for _ in range(60):
            further = pressure + direction * pump_step
            other = setting.changed(pressure=further) if further > 0 else None
            if other is None or faults_of_setting(unit, other):
                break
            if spring_rms(unit, other, target, spring, conditions) > allowed:
                break
            pressure = further
        ends.append(pressure)
    return ends[0], ends[1]
