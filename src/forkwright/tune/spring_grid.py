"""Every spring setting there is, against a target force: the steps of each valve and what they leave."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.hardware.limits import faults_of_setting
from forkwright.physics.values import Array
from forkwright.units import Measure, parse

HIGHEST = parse("350 psi", "pressure").si  # searched up to here where the file states no limit

NEAR_SPACERS = 2
"""Spacers either way of a setting's that are tried where only its neighbourhood is looked at (own choice)."""


@dataclass(frozen=True)
class Yardstick:
    """What a spring is compared with: `wanted` (N) at `travel` (m), weighted (`weight` sums to 1)."""

    travel: Array
    wanted: Array
    weight: Array

    def squares(self, force: Array) -> Array:
        """Return the weighted mean square of a force less the wanted one, N2; leading axes are kept."""
        return np.asarray((force - self.wanted) ** 2 @ self.weight, np.float64)


def yardstick_on(target: SpringCurve, unit: Unit, weight: Array | None) -> Yardstick:
    """Return what a unit is compared with; without `weight`, evenly before either bottom-out bumper."""
    bottom = unit.bumpers.bottom_out
    free = unit.travel.si - (bottom.length.si if bottom is not None else 0.0)
    keep = target.travel <= min(free, target.travel[-1] * 0.95) + 1e-9
    weights = np.where(keep, 1.0, 0.0) if weight is None else np.where(keep, weight, 0.0)
    used = weights > 0.0
    travel = target.travel[used]
    return Yardstick(
        travel, np.interp(travel, target.travel, target.force), weights[used] / weights[used].sum()
    )


def pressure_steps(unit: Unit, step: float) -> Array:
    """Return every multiple of `step` (Pa) up to the limit of the main pressure, gauge Pa."""
    return multiples(step, highest_pressure(unit))


def secondary_steps(unit: Unit, setting: Setting, step: float) -> Array | None:
    """Return the same behind the floating piston; None where there is none, or nothing set."""
    air = unit.air_spring
    if air is None or air.floating is None or setting.floating is None:
        return None
    limit = air.floating.pressure_limit
    return multiples(step, limit.si if limit is not None else HIGHEST)


def negative_steps(unit: Unit, setting: Setting, step: float) -> Array | None:
    """Return the same at the valve of the negative chamber; None where it has none, or nothing set."""
    air = unit.air_spring
    if air is None or air.negative != "valve" or setting.negative_pressure is None:
        return None
    limit = air.negative_pressure_limit or air.pressure_limit
    return multiples(step, limit.si if limit is not None else HIGHEST)


def spacer_counts(unit: Unit, setting: Setting) -> list[int]:
    """Return the numbers of spacers that fit."""
    air = unit.air_spring
    most = air.spacers.max_count if air is not None and air.spacers is not None else 0
    return [
        count
        for count in range(most + 1)
        if all(
            key != "setting.spacers" for key, *_ in faults_of_setting(unit, setting.changed(spacers=count))
        )
    ]


def near_spacers(unit: Unit, setting: Setting) -> list[int]:
    """Return the numbers of spacers that fit, no more than `NEAR_SPACERS` from those that are in."""
    counts = spacer_counts(unit, setting)
    return [count for count in counts if abs(count - setting.spacers) <= NEAR_SPACERS]


def highest_pressure(unit: Unit) -> float:
    """Return the highest main pressure that is searched, gauge Pa: the stated limit, or 350 psi."""
    limit = unit.air_spring.pressure_limit if unit.air_spring is not None else None
    return float(limit.si) if limit is not None else HIGHEST


def multiples(step: float, limit: float) -> Array:
    """Return the whole multiples of a step up to a limit, zero left out."""
    count = int(np.floor(limit / step * (1 + 1e-9)))
    return np.asarray(step * np.arange(1, count + 1), np.float64)


def at_many(unit: Unit, setting: Setting, **columns: Array | float | int | None) -> Unit:
    """Return the unit with entries of its setting held as columns of SI values, not checked again."""
    entries: dict[str, object] = {}
    for name, values in columns.items():
        held = isinstance(values, np.ndarray | float)
        entries[name] = Measure(values, text="many") if held else values  # type: ignore[arg-type]
    return unit.model_copy(update={"setting": setting.model_copy(update=entries)})


def negative_pull(unit: Unit, setting: Setting, yardstick: Yardstick, conditions: Conditions | None) -> Array:
    """Return how the force changes with the pressure of a negative chamber that has its own valve, N/Pa.

    Notes
    -----
    Source (derived): that chamber's pressure is its set absolute pressure times a ratio of volumes, and no
    other part feels it; so the force is a straight line in it, whatever else is set.
    """
    assert setting.negative_pressure is not None
    low = np.array([[0.0], [1e5]])
    many = at_many(unit, setting, negative_pressure=low)
    force = spring_curve(many, None, conditions, travel=yardstick.travel).force
    return np.asarray((force[1] - force[0]) / 1e5, np.float64)


def best_negative(
    residual: Array, pull: Array, now: float, steps: Array, yardstick: Yardstick
) -> tuple[Array, NDArray[np.int64]]:
    """Return the least mean squares over all steps of the negative chamber, and which step gives each.

    Parameters
    ----------
    residual : array, shape (..., travel)
        Force less the wanted one at the negative pressure `now`, N.
    pull : array
        From `negative_pull`, N/Pa.
    now : float
        Gauge Pa.
    steps : array
        Gauge Pa, evenly spaced.
    yardstick : Yardstick

    Notes
    -----
    Source (derived): along a straight line the mean square is a parabola, so that its least value over evenly
    spaced steps is at the step nearest to its vertex.
    """
    inner, square = residual * yardstick.weight @ pull, float(pull * yardstick.weight @ pull)
    vertex = now - inner / square
    spacing = steps[0]
    place = np.clip(np.rint(vertex / spacing).astype(np.int64) - 1, 0, steps.size - 1)
    move = steps[place] - now
    least = residual**2 @ yardstick.weight + 2.0 * move * inner + move**2 * square
    return np.asarray(np.maximum(least, 0.0), np.float64), place
