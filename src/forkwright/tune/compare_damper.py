"""The damper half of a comparison: curves, bands, what clicks do, cavitation maps, B's nearest clicks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from forkwright.bench.damper_difference import DamperDifference, damper_difference
from forkwright.bench.damping import WORKSHOP_OIL, DampingCurve, damping_curve
from forkwright.bench.damping_variations import CavitationMap, ClickEffect, cavitation_map, click_effects
from forkwright.bench.nearest_clicks import NearestClicks, nearest_clicks
from forkwright.hardware import Setting, Unit

DRAWS = 60
"""Units drawn for the damper's bands; each solves its own shim stacks."""


@dataclass(frozen=True)
class DamperSide:
    """One damper with its setting."""

    curve: DampingCurve
    effects: tuple[ClickEffect, ...]
    maps: tuple[CavitationMap, ...]  # one per compression adjuster and rebound


@dataclass(frozen=True)
class DamperHalf:
    """Two dampers side by side, and the clicks of B that come nearest to A."""

    a: DamperSide
    b: DamperSide
    difference: DamperDifference
    nearest: NearestClicks
    oil_temperature: float  # K
    warnings: tuple[str, ...]


def compare_dampers(
    a: Unit,
    b: Unit,
    setting_a: Setting,
    setting_b: Setting,
    *,
    oil_temperature: float = WORKSHOP_OIL,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> DamperHalf | None:
    """Compare two dampers over the speeds of `COMPARED_SPEEDS`; None where either unit has none.

    Parameters
    ----------
    a, b : Unit
    setting_a, setting_b : Setting
    oil_temperature : float
        K, in both.
    draws, seed : int
        Of the bands.
    progress : callable, optional
        Called with the share of the draws done; may raise to stop.
    """
    if a.damper is None or b.damper is None:
        return None
    sides = [_read_side(unit, setting, oil_temperature) for unit, setting in ((a, setting_a), (b, setting_b))]
    difference = damper_difference(
        a, b, setting_a, setting_b, oil_temperature=oil_temperature, draws=draws, seed=seed, progress=progress
    )
    nearest = nearest_clicks(a, b, setting_a, setting_b, oil_temperature=oil_temperature)
    notes = [
        f"{unit.name}, damper: {note}"
        for unit, side in zip((a, b), sides, strict=True)
        for note in side.curve.warnings
    ]
    return DamperHalf(sides[0], sides[1], difference, nearest, oil_temperature, tuple(notes))


def _read_side(unit: Unit, setting: Setting, oil_temperature: float) -> DamperSide:
    assert unit.damper is not None
    return DamperSide(
        damping_curve(unit, setting, oil_temperature),
        click_effects(unit, setting, oil_temperature),
        tuple(
            cavitation_map(unit, adjuster, setting, oil_temperature)
            for adjuster in unit.damper.click_ranges()
        ),
    )
