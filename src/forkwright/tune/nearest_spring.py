"""The spring setting of one unit that comes nearest to another's curve: exact over the steps there are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Load, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.limits import faults_of_setting
from forkwright.physics.values import Array
from forkwright.units import Measure, parse

PUMP_STEP = parse("1 psi", "pressure").si
SECONDARY_STEP = parse("0.5 psi", "pressure").si
_HIGHEST = parse("350 psi", "pressure").si  # searched up to here where the file states no limit
Pass = Callable[[Setting | None], Array | None]
_COARSE = 16  # secondary steps skipped in the first pass


@dataclass(frozen=True)
class NearestSpring:
    """The nearest setting and what remains, SI."""

    setting: Setting
    travel: Array  # m, where the two were compared
    remainder: Array  # N, force of B with this setting minus force of A
    weight: Array  # share of each point in the judgement, sums to 1
    rms: float  # N, weighted root mean square of the remainder
    worst: float  # N, largest remainder, with its sign
    worst_at: float  # m
    tried: int  # settings evaluated
    warnings: tuple[str, ...]


def nearest_spring(
    target: SpringCurve,
    unit: Unit,
    setting: Setting,
    *,
    conditions: Conditions | None = None,
    pump_step: float = PUMP_STEP,
    secondary_step: float = SECONDARY_STEP,
    weight: Array | None = None,
) -> NearestSpring | None:
    """Return the pressure, spacers and secondary pressure that bring a unit nearest to a target curve.

    Parameters
    ----------
    target : SpringCurve
        The curve to come near to.
    unit : Unit
    setting : Setting
        What is not searched (clicks, preload) is kept from here.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    pump_step, secondary_step : float
        Pressures are whole multiples of these, Pa.
    weight : array, optional
        Weight of each point of `target.travel`; by default even over the travel that both have before
        either bottom-out bumper is touched.

    Returns
    -------
    NearestSpring or None
        None where the unit has no air spring.

    Notes
    -----
    Every spacer count and every multiple of `pump_step` up to the stated limit is evaluated. A secondary
    pressure is first searched at every 16th step, then at every step around the best.
    """
    if unit.air_spring is None:
        return None
    travel, weights = _judged(target, unit, weight)
    wanted = np.interp(travel, target.travel, target.force)
    pressures = _steps(pump_step, highest_pressure(unit))
    best: tuple[float, Setting] | None = None
    tried = 0
    for spacers in _spacer_counts(unit, setting):
        for choose in _secondary_passes(unit, setting, secondary_step):
            values = choose(best[1] if best is not None else None)
            errors = _errors(unit, setting, spacers, pressures, values, travel, wanted, weights, conditions)
            tried += errors.size
            row, column = np.unravel_index(np.argmin(errors), errors.shape)
            if best is None or errors[row, column] < best[0]:
                found = setting.changed(spacers=spacers, pressure=_as_measure(pressures[row], pump_step))
                if values is not None:
                    found = found.changed(floating=_as_measure(values[column], secondary_step))
                best = (float(errors[row, column]), found)
    assert best is not None
    return _described(best[1], unit, travel, wanted, weights, tried, conditions, float(pressures[-1]))


def pressure_for_sag(
    unit: Unit,
    setting: Setting,
    load: Load,
    wanted: float,
    *,
    side_load: float = 0.0,
    conditions: Conditions | None = None,
    pump_step: float = PUMP_STEP,
) -> Setting | None:
    """Return the setting whose pressure puts the middle of the sag band nearest to `wanted`.

    Parameters
    ----------
    unit : Unit
    setting : Setting
        Everything but the pressure is kept.
    load, side_load : float
        N.
    wanted : float
        Sag, m from full extension.

    Returns
    -------
    Setting or None
        None where the unit has no air spring, or the sag cannot be had within its pressure limit.
    """
    if unit.air_spring is None:
        return None
    pressures = _steps(pump_step, highest_pressure(unit))
    low, high = 0, pressures.size - 1

    def rests(index: int) -> float:
        changed = setting.changed(pressure=_as_measure(pressures[index], pump_step))
        return float(sag(unit, load, changed, conditions, side_load=side_load).middle)

    if rests(high) > wanted or rests(low) < wanted:
        return None
    while high - low > 1:  # sag falls steadily with pressure
        middle = (low + high) // 2
        low, high = (middle, high) if rests(middle) > wanted else (low, middle)
    nearest = min((low, high), key=lambda index: abs(rests(index) - wanted))
    return setting.changed(pressure=_as_measure(pressures[nearest], pump_step))


def highest_pressure(unit: Unit) -> float:
    """Return the highest main pressure that is searched, gauge Pa: the stated limit, or 350 psi."""
    limit = unit.air_spring.pressure_limit if unit.air_spring is not None else None
    return float(limit.si) if limit is not None else _HIGHEST


def _judged(target: SpringCurve, unit: Unit, weight: Array | None) -> tuple[Array, Array]:
    bottom = unit.bumpers.bottom_out
    free = unit.travel.si - (bottom.length.si if bottom is not None else 0.0)
    keep = target.travel <= min(free, target.travel[-1] * 0.95) + 1e-9
    weights = np.where(keep, 1.0, 0.0) if weight is None else np.where(keep, weight, 0.0)
    used = weights > 0.0
    return target.travel[used], weights[used] / weights[used].sum()


def _steps(step: float, limit: float) -> Array:
    count = int(np.floor(limit / step * (1 + 1e-9)))
    return np.asarray(step * np.arange(1, count + 1), np.float64)


def _spacer_counts(unit: Unit, setting: Setting) -> list[int]:
    air = unit.air_spring
    most = air.spacers.max_count if air is not None and air.spacers is not None else 0
    return [
        count
        for count in range(most + 1)
        if all(
            key != "setting.spacers" for key, *_ in faults_of_setting(unit, setting.changed(spacers=count))
        )
    ]


def _secondary_passes(unit: Unit, setting: Setting, step: float) -> list[Pass]:
    """How to choose the secondary pressures of each pass: none at all, or coarse and then fine."""
    air = unit.air_spring
    if air is None or air.floating is None or setting.floating is None:
        return [lambda _: None]
    limit = air.floating.pressure_limit
    every = _steps(step, limit.si if limit is not None else _HIGHEST)

    def coarse(_: Setting | None) -> Array:
        return every[_COARSE - 1 :: _COARSE] if every.size > _COARSE else every

    def fine(best: Setting | None) -> Array:
        centre = best.floating.si if best is not None and best.floating is not None else every[0]
        return every[np.abs(every - centre) <= step * _COARSE * 1.001]

    return [coarse, fine]


def _errors(
    unit: Unit,
    setting: Setting,
    spacers: int,
    pressures: Array,
    secondary: Array | None,
    travel: Array,
    wanted: Array,
    weights: Array,
    conditions: Conditions | None,
) -> Array:
    """Weighted mean square of the force difference: pressures in rows, secondary pressures in columns."""
    columns = np.array([np.nan]) if secondary is None else secondary
    out = np.empty((pressures.size, columns.size))
    for column, value in enumerate(columns):
        entries = {"spacers": spacers, "pressure": Measure(pressures[:, np.newaxis], text="many")}  # type: ignore[arg-type]
        if secondary is not None:
            entries["floating"] = Measure(float(value))
        many = unit.model_copy(update={"setting": setting.model_copy(update=entries)})
        force = spring_curve(many, None, conditions, travel=travel).force
        out[:, column] = (force - wanted) ** 2 @ weights
    return out


def _described(
    setting: Setting,
    unit: Unit,
    travel: Array,
    wanted: Array,
    weights: Array,
    tried: int,
    conditions: Conditions | None,
    highest: float,
) -> NearestSpring:
    curve = spring_curve(unit, setting, conditions, travel=travel)
    remainder = curve.force - wanted
    worst = int(np.argmax(np.abs(remainder)))
    notes = list(curve.warnings)
    floating = unit.air_spring.floating if unit.air_spring is not None else None
    limit = (
        floating.pressure_limit.si
        if floating is not None and floating.pressure_limit is not None
        else _HIGHEST
    )
    for what, given, most in (
        ("pressure", setting.pressure, highest),
        ("secondary pressure", setting.floating, limit),
    ):
        if given is not None and given.si >= most * (1 - 1e-9):
            notes.append(f"the nearest {what} is the limit itself: more would be needed to come nearer")
    return NearestSpring(
        setting=setting,
        travel=travel,
        remainder=remainder,
        weight=weights,
        rms=float(np.sqrt(remainder**2 @ weights)),
        worst=float(remainder[worst]),
        worst_at=float(travel[worst]),
        tried=tried,
        warnings=tuple(notes),
    )


def _as_measure(pressure: float, step: float) -> Measure:
    return Measure(float(pressure), step / np.sqrt(12.0))
