"""Two units side by side for one rider: springs, bands, sag, step effects, and B's nearest setting to A."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.bench.bands import DRAWS, Band, band_of, sag_bands, spring_bands
from forkwright.bench.conditions import Conditions
from forkwright.bench.gas_push import seal_of
from forkwright.bench.sag import Load, Sag, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit, with_setting
from forkwright.physics.gas import ADIABATIC
from forkwright.physics.values import Array
from forkwright.tune.alike import check_alike
from forkwright.tune.compare_damper import DRAWS as DAMPER_DRAWS
from forkwright.tune.compare_damper import DamperHalf, compare_dampers
from forkwright.tune.nearest_spring import (
    PUMP_STEP,
    SECONDARY_STEP,
    NearestSpring,
    nearest_spring,
    pressure_for_sag,
)
from forkwright.tune.paired_draws import paired
from forkwright.tune.pump_steps import check_pump_steps
from forkwright.tune.spring_figures import SpringFigures, StepEffect, spring_figures, step_effects

BANDED = ("force", "rate", "positive", "negative")


@dataclass(frozen=True)
class Side:
    """One of the two units, as read on the bench with its setting."""

    unit: Unit
    setting: Setting
    spring: SpringCurve  # slow bench (isothermal)
    fast: SpringCurve  # fast limit (adiabatic)
    bands: dict[str, Band]  # by SpringCurve field, over spring.travel
    sag: Sag
    sag_bands: dict[str, Band]  # low, middle, high, rest; shape (1,)
    figures: SpringFigures
    steps: tuple[StepEffect, ...]


@dataclass(frozen=True)
class Difference:
    """Force of B minus force of A over the travel they share, with the band that the callipers leave open."""

    travel: Array  # m
    force: Array  # N
    band: Band  # N
    beyond: NDArray[np.bool_]  # zero lies outside the band, so the two differ by more than their tolerances
    stretches: tuple[tuple[float, float], ...]  # m, from-to, where they do


@dataclass(frozen=True)
class Comparison:
    """A and B for one load, and the setting of B that comes nearest to A."""

    a: Side
    b: Side
    load: float  # N along the axis; for a shock what its spring carries at A's rest
    side_load: float  # N across it
    difference: Difference
    nearest: NearestSpring | None  # None where B has nothing to set
    equal_sag: Setting | None  # B's own build with the pressure that gives A's sag, at the pump's resolution
    nearest_side: Side | None  # B read on the bench with the nearest setting
    damper: DamperHalf | None  # None where either unit has no damper
    warnings: tuple[str, ...]


def compare(
    a: Unit,
    b: Unit,
    load: Load,
    *,
    load_b: Load | None = None,
    side_load: float = 0.0,
    setting_a: Setting | None = None,
    setting_b: Setting | None = None,
    conditions: Conditions | None = None,
    pump_step: float = PUMP_STEP,
    secondary_step: float = SECONDARY_STEP,
    draws: int = DRAWS,
    damper_draws: int = DAMPER_DRAWS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> Comparison:
    """Compare the springs of two units for one rider.

    Parameters
    ----------
    a, b : Unit
    load : float or callable
        Static load along the axis, N; for shocks over the stroke (see `forkwright.bench.standing`).
    load_b : float or callable, optional
        That on B, where it differs: shocks whose dampers push differently.
    side_load : float
        Across the leg axis, N.
    setting_a, setting_b : Setting, optional
        By default those in the files.
    conditions : Conditions, optional
        By default sea level and 20 degC.
    pump_step, secondary_step : float
        Resolution of the pump at the main and at the secondary valve, Pa.
    draws, damper_draws, seed : int
        Of the tolerance bands of springs and dampers.
    progress : callable, optional
        Called with the share done, 0 to 1; may raise to stop.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        If a setting is over a unit's limits, a step is no pump's, or one is a fork and the other a shock.

    Examples
    --------
    >>> import forkwright as fw
    >>> both = fw.compare(fw.load(fw.demo_file("dunlin-160")), fw.load(fw.demo_file("plover-160")), 333.0)
    >>> both.nearest is not None
    True
    """
    check_alike(a, b, "compared")
    check_pump_steps(pump_step, secondary_step)
    tell = progress or (lambda _: None)
    left = _read_side(a, setting_a, load, side_load, conditions, pump_step, secondary_step, draws, seed)
    on_b = load if load_b is None else load_b
    right = _read_side(b, setting_b, on_b, side_load, conditions, pump_step, secondary_step, draws, seed + 1)
    tell(0.15)
    nearest = nearest_spring(
        left.spring,
        b,
        right.setting,
        conditions=conditions,
        pump_step=pump_step,
        secondary_step=secondary_step,
    )
    equal = pressure_for_sag(
        b, right.setting, on_b, float(left.sag.middle), side_load=side_load, conditions=conditions,
        pump_step=pump_step,
    )  # fmt: skip
    nearest_side = None
    if nearest is not None:
        nearest_side = _read_side(
            b, nearest.setting, on_b, side_load, conditions, pump_step, secondary_step, draws, seed + 1
        )
    tell(0.3)
    damper = compare_dampers(
        a, b, left.setting, right.setting, draws=damper_draws, seed=seed,
        progress=lambda share: tell(0.3 + 0.6 * share),
    )  # fmt: skip
    return Comparison(
        a=left,
        b=right,
        load=load if isinstance(load, float | int) else float(left.sag.load),
        side_load=side_load,
        difference=_difference(left, right, conditions, draws, seed),
        nearest=nearest,
        equal_sag=equal,
        nearest_side=nearest_side,
        damper=damper,
        warnings=(*_warnings(left, right, nearest, equal), *(damper.warnings if damper is not None else ())),
    )


def _read_side(
    unit: Unit,
    setting: Setting | None,
    load: Load,
    side_load: float,
    conditions: Conditions | None,
    pump_step: float,
    secondary_step: float,
    draws: int,
    seed: int,
) -> Side:
    setting = setting or unit.setting
    spring = spring_curve(unit, setting, conditions, side_load=side_load)
    fast = spring_curve(unit, setting, conditions, exponent=ADIABATIC, side_load=side_load)
    seal = seal_of(unit)
    rests = sag(unit, load, setting, conditions, side_load=side_load, extra_friction=seal)
    return Side(
        unit=unit,
        setting=setting,
        spring=spring,
        fast=fast,
        bands=spring_bands(
            unit, setting, conditions, draws=draws, seed=seed, fields=BANDED, side_load=side_load
        ),
        sag=rests,
        sag_bands=sag_bands(
            unit,
            load,
            setting,
            conditions,
            side_load=side_load,
            extra_friction=seal,
            draws=max(500, draws // 5),
            seed=seed,
        ),
        figures=spring_figures(spring, fast),
        steps=step_effects(
            unit,
            setting,
            load,
            side_load=side_load,
            conditions=conditions,
            pump_step=pump_step,
            secondary_step=secondary_step,
        ),
    )


def _difference(left: Side, right: Side, conditions: Conditions | None, draws: int, seed: int) -> Difference:
    """Draw both units at once, what is one part of both alike; the differences give the band."""
    shared = min(left.spring.travel[-1], right.spring.travel[-1])
    travel = np.linspace(0.0, shared, left.spring.travel.size)
    pairs = min(draws, 4000)
    both = paired(with_setting(left.unit, left.setting), with_setting(right.unit, right.setting), pairs, seed)
    forces = [spring_curve(many, None, conditions, travel=travel).force for many in both]
    nominal = [
        spring_curve(side.unit, side.setting, conditions, travel=travel).force for side in (left, right)
    ]
    spread = np.ascontiguousarray((np.broadcast_to(forces[1], (pairs, travel.size)) - forces[0]).T)
    band = band_of(spread)
    beyond = (band.low > 0.0) | (band.high < 0.0)
    return Difference(travel, nominal[1] - nominal[0], band, beyond, _stretches(travel, beyond))


def _stretches(travel: Array, beyond: NDArray[np.bool_]) -> tuple[tuple[float, float], ...]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], beyond.astype(np.int8), [0]))))
    return tuple(
        (float(travel[start]), float(travel[end - 1]))
        for start, end in zip(edges[::2], edges[1::2], strict=True)
    )


def _warnings(
    left: Side, right: Side, nearest: NearestSpring | None, equal: Setting | None
) -> tuple[str, ...]:
    notes = [
        f"{side.unit.name}: {note}"
        for side in (left, right)
        for note in dict.fromkeys((*side.spring.warnings, *side.sag.warnings))
    ]
    if abs(left.spring.travel[-1] - right.spring.travel[-1]) > 1e-6:
        notes.append("the two travels differ: forces are compared over the travel both have")
    if nearest is not None:
        notes += [f"{right.unit.name}, nearest setting: {note}" for note in nearest.warnings]
    if equal is None and right.unit.air_spring is not None:
        notes.append(f"no pressure within the limits gives {right.unit.name} the sag of {left.unit.name}")
    return tuple(notes)
