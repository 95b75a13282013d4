"""Carry a feel over: the settings of B that come nearest to A over the travel and speeds really used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.damper_compare import NearestClicks, nearest_clicks
from forkwright.bench.damping import WORKSHOP_OIL, damping_curve
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.limits import faults_of_setting
from forkwright.tune.alike import check_alike
from forkwright.tune.match_reasons import Reason, reasons
from forkwright.tune.nearest_coil import NearestCoil, nearest_coil
from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP, NearestSpring, nearest_spring
from forkwright.tune.use import Use, even_use


@dataclass(frozen=True)
class Neighbour:
    """What one step away from the match costs: how flat the optimum is.

    `rms` is the weighted force difference after the step, N; spring or damping according to the adjuster.
    """

    adjuster: str
    step: float  # Pa, spacers or clicks
    rms: float


@dataclass(frozen=True)
class Match:
    """B's setting nearest to A, what remains and why.

    `spring` and `clicks` carry their remainders over travel and speed; None where B has nothing to set.
    """

    setting: Setting
    use: Use
    spring: NearestSpring | None
    coil: NearestCoil | None  # where B has a coil: the nearest coil and preload
    clicks: NearestClicks | None
    reasons: tuple[Reason, ...]  # largest first
    neighbours: tuple[Neighbour, ...]
    pressure_room: tuple[float, float] | None  # gauge Pa within which rms grows by less than 10 %
    friction: float | None  # N, weighted running friction of B: what a remainder can hide in
    warnings: tuple[str, ...]


def match(
    a: Unit,
    b: Unit,
    *,
    setting_a: Setting | None = None,
    setting_b: Setting | None = None,
    use: Use | None = None,
    conditions: Conditions | None = None,
    oil_temperature: float = WORKSHOP_OIL,
    pump_step: float = PUMP_STEP,
    secondary_step: float = SECONDARY_STEP,
) -> Match:
    """Return the settings of B that come nearest to the feel of A.

    Parameters
    ----------
    a, b : Unit
        Also the same unit before and after a service or a rebuild.
    setting_a, setting_b : Setting, optional
        By default those in the files; B's gives what is not searched.
    use : Use, optional
        Weights of travel and speed; by default all alike.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    oil_temperature : float
        K, in both dampers.
    pump_step, secondary_step : float
        Pa.

    Returns
    -------
    Match

    Raises
    ------
    InputError
        If a setting is over a unit's limits, or one is a fork and the other a shock.

    Notes
    -----
    Own definition: spring and damper are matched one after the other, each by the smallest weighted root
    mean square difference of force. Nothing inadmissible is ever tried.
    """
    check_alike(a, b, "matched")
    use = use or even_use(min(a.travel.si, b.travel.si))
    wanted = setting_a or a.setting
    setting = setting_b or b.setting
    target = spring_curve(a, wanted, conditions, travel=use.travel)
    spring = nearest_spring(
        target, b, setting, conditions=conditions, pump_step=pump_step, secondary_step=secondary_step,
        weight=use.travel_weight,
    )  # fmt: skip
    if spring is not None:
        setting = spring.setting
    coil = nearest_coil(target, b, setting, conditions=conditions, weight=use.travel_weight)
    if coil is not None:
        setting = setting.changed(preload=coil.preload)
    clicks = None
    if a.damper is not None and b.damper is not None:
        clicks = nearest_clicks(
            a, b, wanted, setting, oil_temperature=oil_temperature, speeds=use.speed, weights=use.speed_weight
        )
        setting = setting.changed(**clicks.clicks)
    return Match(
        setting=setting,
        use=use,
        spring=spring,
        coil=coil,
        clicks=clicks,
        reasons=reasons(a, b, wanted, setting, target, spring, conditions) if spring is not None else (),
        neighbours=(
            *_neighbours(b, setting, target, spring, conditions, pump_step, secondary_step),
            *_click_neighbours(b, setting, clicks, use, oil_temperature),
        ),
        pressure_room=_pressure_room(b, setting, target, spring, conditions, pump_step),
        friction=_friction(b, setting, spring, conditions),
        warnings=_warnings(b, spring, coil, clicks, use),
    )


def _neighbours(
    unit: Unit,
    setting: Setting,
    target: SpringCurve,
    spring: NearestSpring | None,
    conditions: Conditions | None,
    pump_step: float,
    secondary_step: float,
) -> tuple[Neighbour, ...]:
    if spring is None:
        return ()
    found = []
    for entry, step in (("pressure", pump_step), ("spacers", 1.0), ("floating", secondary_step)):
        now = getattr(setting, entry)
        if now is None or (
            entry == "spacers" and (unit.air_spring is None or unit.air_spring.spacers is None)
        ):
            continue
        for signed in (-2 * step, -step, step, 2 * step):
            value = now + int(signed) if entry == "spacers" else now.si + signed
            if value < 0:
                continue
            other = setting.changed(**{entry: value})
            if not faults_of_setting(unit, other):
                found.append(Neighbour(entry, signed, spring_rms(unit, other, target, spring, conditions)))
    return tuple(found)


def _click_neighbours(
    unit: Unit, setting: Setting, clicks: NearestClicks | None, use: Use, oil_temperature: float
) -> tuple[Neighbour, ...]:
    """What one click either way leaves: weighted rms of the damping difference."""
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


def _friction(
    unit: Unit, setting: Setting, spring: NearestSpring | None, conditions: Conditions | None
) -> float | None:
    if spring is None:
        return None
    curve = spring_curve(unit, setting, conditions, travel=spring.travel)
    return float(curve.friction @ spring.weight)


def spring_rms(
    unit: Unit, setting: Setting, target: SpringCurve, spring: NearestSpring, conditions: Conditions | None
) -> float:
    """Return the weighted rms force difference (N) of a setting from the target, judged as in `spring`."""
    curve = spring_curve(unit, setting, conditions, travel=spring.travel)
    wanted = np.interp(spring.travel, target.travel, target.force)
    return float(np.sqrt((curve.force - wanted) ** 2 @ spring.weight))


def _pressure_room(
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
    allowed = 1.1 * spring.rms + 0.05
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


def _warnings(
    unit: Unit,
    spring: NearestSpring | None,
    coil: NearestCoil | None,
    clicks: NearestClicks | None,
    use: Use,
) -> tuple[str, ...]:
    found = spring or coil
    notes = list(found.warnings) if found is not None else [f"{unit.name} has no spring to set"]
    if clicks is not None and clicks.at_end:
        ends = ", ".join(name.replace("_", " ") for name in clicks.at_end)
        notes.append(f"at its end: {ends}; the stack, not the clicks, is the limit there")
    if spring is not None and float(use.travel[-1]) > unit.travel.si * (1 + 1e-9):
        notes.append("A uses more travel than B has; what lies beyond is left out")
    return tuple(notes)
