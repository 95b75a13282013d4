"""The spring setting of one unit that comes nearest to another's curve: exact over the steps there are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Load, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics.values import Array
from forkwright.tune.spring_grid import (
    Yardstick,
    at_many,
    best_negative,
    negative_pull,
    negative_steps,
    pressure_steps,
    secondary_steps,
    spacer_counts,
    yardstick_on,
)
from forkwright.units import Measure, parse

PUMP_STEP = parse("1 psi", "pressure").si
SECONDARY_STEP = parse("0.5 psi", "pressure").si
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
    """Return the pressures and spacers that bring a unit nearest to a target curve.

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
    Every spacer count and every multiple of `pump_step` up to the stated limit is evaluated; with each of
    them the best step of a negative chamber that has its own valve (see `spring_grid.best_negative`). A
    secondary pressure is first searched at every 16th step, then at every step around the best.
    """
    if unit.air_spring is None:
        return None
    yardstick = yardstick_on(target, unit, weight)
    search = _Search(unit, setting, yardstick, conditions, pump_step, secondary_step)
    best = min((search.with_spacers(count) for count in spacer_counts(unit, setting)), key=lambda one: one[0])
    return _described(best[1], unit, yardstick, search, conditions)


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
    pressures = pressure_steps(unit, pump_step)
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


class _Search:
    """Everything that can be set on one air spring, with a given number of spacers each time."""

    def __init__(
        self,
        unit: Unit,
        setting: Setting,
        yardstick: Yardstick,
        conditions: Conditions | None,
        pump_step: float,
        secondary_step: float,
    ) -> None:
        self.unit, self.setting, self.yardstick, self.conditions = unit, setting, yardstick, conditions
        self.pump_step, self.secondary_step = pump_step, secondary_step
        self.pressures = pressure_steps(unit, pump_step)
        self.secondary = secondary_steps(unit, setting, secondary_step)
        self.negative = negative_steps(unit, setting, pump_step)
        self.pull = None if self.negative is None else negative_pull(unit, setting, yardstick, conditions)
        self.tried = 0

    def with_spacers(self, spacers: int) -> tuple[float, Setting]:
        """Return the least mean square with this many spacers, and the setting that gives it."""
        if self.secondary is None:
            return self._best(spacers, None)
        coarse = self.secondary[_COARSE - 1 :: _COARSE] if self.secondary.size > _COARSE else self.secondary
        found = min((self._best(spacers, float(value)) for value in coarse), key=lambda one: one[0])
        assert found[1].floating is not None
        near = np.abs(self.secondary - found[1].floating.si) <= self.secondary_step * _COARSE * 1.001
        fine = (self._best(spacers, float(value)) for value in self.secondary[near])
        return min((found, *fine), key=lambda one: one[0])

    def _best(self, spacers: int, secondary: float | None) -> tuple[float, Setting]:
        """Try every main pressure, and with each of them every pressure of an own-valve negative chamber."""
        entries: dict[str, Array | float | int | None] = {
            "spacers": spacers, "pressure": self.pressures[:, np.newaxis],
        }  # fmt: skip
        if secondary is not None:
            entries["floating"] = secondary
        many = at_many(self.unit, self.setting, **entries)
        force = spring_curve(many, None, self.conditions, travel=self.yardstick.travel).force
        found = self.setting.changed(spacers=spacers)
        if secondary is not None:
            found = found.changed(floating=_as_measure(secondary, self.secondary_step))
        if self.negative is None or self.pull is None:
            errors = self.yardstick.squares(force)
            row = int(np.argmin(errors))
            self.tried += errors.size
        else:
            assert self.setting.negative_pressure is not None
            errors, place = best_negative(
                force - self.yardstick.wanted, self.pull, self.setting.negative_pressure.si, self.negative,
                self.yardstick,
            )  # fmt: skip
            row = int(np.argmin(errors))
            self.tried += errors.size * self.negative.size
            value = float(self.negative[place[row]])
            found = found.changed(negative_pressure=_as_measure(value, self.pump_step))
        found = found.changed(pressure=_as_measure(float(self.pressures[row]), self.pump_step))
        return float(errors[row]), found


def _described(
    setting: Setting, unit: Unit, yardstick: Yardstick, search: _Search, conditions: Conditions | None
) -> NearestSpring:
    curve = spring_curve(unit, setting, conditions, travel=yardstick.travel)
    remainder = curve.force - yardstick.wanted
    worst = int(np.argmax(np.abs(remainder)))
    notes = list(curve.warnings)
    for what, given, steps in (
        ("pressure", setting.pressure, search.pressures),
        ("secondary pressure", setting.floating, search.secondary),
        ("negative chamber pressure", setting.negative_pressure, search.negative),
    ):
        if given is not None and steps is not None and given.si >= steps[-1] * (1 - 1e-9):
            notes.append(f"the nearest {what} is the limit itself: more would be needed to come nearer")
    return NearestSpring(
        setting=setting,
        travel=yardstick.travel,
        remainder=remainder,
        weight=yardstick.weight,
        rms=float(np.sqrt(remainder**2 @ yardstick.weight)),
        worst=float(remainder[worst]),
        worst_at=float(yardstick.travel[worst]),
        tried=search.tried,
        warnings=tuple(notes),
    )


def _as_measure(pressure: float, step: float) -> Measure:
    return Measure(float(pressure), step / np.sqrt(12.0))
