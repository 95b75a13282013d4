"""Why the hardware cannot do what is asked: the part that stops it, found by letting each part go in turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from forkwright.hardware import Unit
from forkwright.hardware.air_spring import AirSpring
from forkwright.physics.values import Array
from forkwright.ride.damping import bench_table
from forkwright.ride.portion import SweepTask, score_portion
from forkwright.ride.settings_table import SettingsTable
from forkwright.tune.adjusters import Adjuster
from forkwright.tune.judged import Judged, judge
from forkwright.tune.nearest_coil import with_rate
from forkwright.units import Measure, show

FIRMER, STRONGER = 1.3, 1.5
"""How much more rate a coil, and how much more force the compression damping is given to see whether it is
what stops it (own choice)."""


def what_stops_it(
    unit: Unit, task: SweepTask, adjusters: Sequence[Adjuster], allowed: float, judged: Judged
) -> str:
    """Return the sentence that refuses: the firmest setting is ridden with each limit lifted in turn.

    Parameters
    ----------
    unit : Unit
    task : SweepTask
    adjusters : sequence of Adjuster
    allowed : float
        Deepest travel allowed, share of the travel.
    judged : Judged
        Every setting looked at.

    Notes
    -----
    Own method. The firmest setting has every pressure, preload and the spacers at their most and every click
    closed. A part is named when lifting its limit alone (three tenths more coil, half as much damping again)
    makes that setting hold.
    """
    best = float(np.min(judged.deepest[np.isfinite(judged.deepest)], initial=np.inf))
    reached = f"{best:.0%} of the travel" if np.isfinite(best) else "no ride at all"
    said = (
        f"{unit.name} cannot do it: the biggest event needs {reached} at the best setting found, "
        f"{allowed:.0%} is allowed without touching metal"
    )
    firm = _firmest(adjusters)
    named = [words for words, other in _lifted(unit, firm, task.names) if _holds(other, task, firm, allowed)]
    stronger = _stronger(task, firm)
    if stronger is not None and _holds(unit, stronger, firm, allowed):
        named.append("the compression valves (every click is closed)")
    if named:
        return f"{said}; what stops it: {' or '.join(named)}"
    return f"{said}; no single limit of spring or damper explains it: the travel is too short for this course"


def _stronger(task: SweepTask, firm: Array) -> SweepTask | None:
    """The same task with half as much compression damping again, clicks closed; None without a damper."""
    if task.unit.damper is None or task.options.oil_chambers:
        return None
    setting = SettingsTable(task.names, firm).setting(task.unit.setting, 0)
    days = []
    for conditions, options in task.days or ((task.conditions, task.options),):
        table = options.damping or bench_table(task.unit, setting, conditions, options.oil_temperature)[0]
        force = np.where(table.speed > 0.0, STRONGER * table.force, table.force)
        days.append((conditions, replace(options, damping=replace(table, force=force))))
    if task.days:
        return replace(task, days=tuple(days))
    return replace(task, options=days[0][1])


def _firmest(adjusters: Sequence[Adjuster]) -> Array:
    """Highest pressures and most spacers; clicks fully closed, and least pressure in a negative chamber."""
    closed = ("low_speed", "high_speed", "rebound", "negative_pressure")
    return np.array([[a.values[0] if a.name in closed else a.values[-1] for a in adjusters]])


def _lifted(unit: Unit, firm: Array, names: tuple[str, ...]) -> list[tuple[str, Unit]]:
    """The unit with one limit lifted each, and the words for that limit."""
    air, coil = unit.air_spring, unit.coil_spring
    found: list[tuple[str, Unit]] = []
    if coil is not None:
        words = f"the rate of the coil ({show(coil.rate.si, 'stiffness')})"
        found.append((words, with_rate(unit, FIRMER * coil.rate.si)))
    if air is None:
        return found

    def with_air(**changes: object) -> Unit:
        changed: AirSpring = air.model_copy(update=changes)
        return unit.model_copy(update={"air_spring": changed})

    if "pressure" in names:
        words = f"the pressure range (up to {show(float(firm[0, names.index('pressure')]), 'pressure')})"
        found.append(
            (
                words,
                with_air(
                    bore=Measure(float(air.bore.si) * 1.15),
                    positive_volume=Measure(float(air.positive_volume.si) * 1.3),
                ),
            )
        )
    free = air.positive_volume.si - np.pi / 4 * air.bore.si**2 * unit.travel.si
    smaller = Measure(float(air.positive_volume.si - 0.5 * free))
    most = air.spacers.max_count if air.spacers is not None else 0
    words = f"the volume spacers (at most {most})" if most else "the size of the positive chamber"
    found.append((words, with_air(positive_volume=smaller)))
    if air.floating is not None and air.floating.pressure_limit is not None:
        limit = show(air.floating.pressure_limit.si, "pressure")
        fixed = air.floating.model_copy(update={"stroke": Measure(1e-6)})
        found.append((f"the floating piston's pressure limit ({limit})", with_air(floating=fixed)))
    return found


def _holds(unit: Unit, task: SweepTask, firm: Array, allowed: float) -> bool:
    other = replace(task, unit=unit)
    names = list(task.names)
    values = firm.copy()
    if "spacers" in names and unit.air_spring is not None and unit is not task.unit:
        free = unit.air_spring.positive_volume.si - np.pi / 4 * unit.air_spring.bore.si**2 * unit.travel.si
        size = unit.air_spring.spacers.volume.si if unit.air_spring.spacers is not None else 1.0
        values[0, names.index("spacers")] = min(
            values[0, names.index("spacers")], max(0.0, free // size - 1.0)
        )
    found = judge(
        values, [score_portion(other, values)], len(task.courses), unit.travel.si, task.course_shares
    )
    return bool(found.deepest[0] <= allowed and found.metal[0] == 0.0)
