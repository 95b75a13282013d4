"""Carry a feel over: the settings of B that come nearest to A over the travel and speeds really used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from forkwright.bench.conditions import Conditions
from forkwright.bench.damping import WORKSHOP_OIL
from forkwright.bench.nearest_clicks import NearestClicks, nearest_clicks
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics import Unphysical
from forkwright.tune.alike import check_alike
from forkwright.tune.match_bands import DAMPER_DRAWS, DRAWS, MatchBands, match_bands
from forkwright.tune.match_neighbours import (
    Neighbour,
    click_neighbours,
    coil_neighbours,
    pressure_room,
    spring_neighbours,
)
from forkwright.tune.match_reasons import Reason, reasons
from forkwright.tune.nearest_coil import NearestCoil, nearest_coil
from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP, NearestSpring, nearest_spring
from forkwright.tune.pump_steps import check_pump_steps
from forkwright.tune.use import Use, even_use


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
    bands: MatchBands | None  # how far the tolerances move it; None where that was not asked for
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
    draws: int = DRAWS,
    damper_draws: int = DAMPER_DRAWS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
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
    draws, damper_draws, seed : int
        Of the bands from the tolerances; no draws, no bands.
    progress : callable, optional
        Told the share done, 0 to 1; may raise to stop.

    Returns
    -------
    Match

    Raises
    ------
    InputError
        If a setting is over a unit's limits, a step of the pump is out of range, or one is a fork and the
        other a shock.

    Notes
    -----
    Own definition: spring and damper are matched one after the other, each by the smallest weighted root
    mean square difference of force. Nothing inadmissible is ever tried.
    """
    tell = progress or (lambda _: None)
    check_alike(a, b, "matched")
    check_pump_steps(pump_step, secondary_step)
    use = use or even_use(min(a.travel.si, b.travel.si))
    setting_a, setting_b = setting_a or a.setting, setting_b or b.setting
    found = _nearest(a, b, setting_a, setting_b, use, conditions, oil_temperature, pump_step, secondary_step)
    tell(0.4)
    bands, notes = None, _warnings(b, found, use)
    if draws > 0:
        try:
            bands = match_bands(
                a, b, setting_a, found.setting, use, found.spring, found.coil, found.clicks,
                conditions=conditions, oil_temperature=oil_temperature, pump_step=pump_step,
                secondary_step=secondary_step, draws=draws, damper_draws=damper_draws, seed=seed,
                progress=lambda share: tell(0.4 + 0.6 * share),
            )  # fmt: skip
        except Unphysical as fault:
            notes = (*notes, f"no bands: with parts as far off as their tolerances allow, {fault}")
    setting, target, spring = found.setting, found.target, found.spring
    return Match(
        setting=setting,
        use=use,
        spring=spring,
        coil=found.coil,
        clicks=found.clicks,
        reasons=reasons(a, b, setting_a, setting, target, spring, conditions) if spring is not None else (),
        neighbours=(
            *spring_neighbours(b, setting, target, spring, conditions, pump_step, secondary_step),
            *coil_neighbours(b, setting, target, found.coil, conditions),
            *click_neighbours(b, setting, found.clicks, use, oil_temperature),
        ),
        pressure_room=pressure_room(b, setting, target, spring, conditions, pump_step),
        friction=_friction(b, setting, spring, conditions),
        bands=bands,
        warnings=notes,
    )


@dataclass(frozen=True)
class _Nearest:
    """B's nearest setting, part by part, and A's curve that the spring was held against."""

    setting: Setting
    target: SpringCurve
    spring: NearestSpring | None
    coil: NearestCoil | None
    clicks: NearestClicks | None


def _nearest(
    a: Unit,
    b: Unit,
    setting_a: Setting,
    setting: Setting,
    use: Use,
    conditions: Conditions | None,
    oil_temperature: float,
    pump_step: float,
    secondary_step: float,
) -> _Nearest:
    """Match the spring first, then the damper at the spring's setting."""
    target = spring_curve(a, setting_a, conditions, travel=use.travel)
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
            a, b, setting_a, setting, oil_temperature=oil_temperature, speeds=use.speed,
            weights=use.speed_weight,
        )  # fmt: skip
        setting = setting.changed(**clicks.clicks)
    return _Nearest(setting, target, spring, coil, clicks)


def _friction(
    unit: Unit, setting: Setting, spring: NearestSpring | None, conditions: Conditions | None
) -> float | None:
    if spring is None:
        return None
    curve = spring_curve(unit, setting, conditions, travel=spring.travel)
    return float(curve.friction @ spring.weight)


def _warnings(unit: Unit, nearest: _Nearest, use: Use) -> tuple[str, ...]:
    found = nearest.spring or nearest.coil
    notes = list(found.warnings) if found is not None else [f"{unit.name} has no spring to set"]
    if nearest.clicks is not None and nearest.clicks.at_end:
        ends = ", ".join(name.replace("_", " ") for name in nearest.clicks.at_end)
        notes.append(f"at its end: {ends}; the stack, not the clicks, is the limit there")
    if nearest.spring is not None and float(use.travel[-1]) > unit.travel.si * (1 + 1e-9):
        notes.append("A uses more travel than B has; what lies beyond is left out")
    return tuple(notes)
