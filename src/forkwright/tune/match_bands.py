"""How far the tolerances of the measured parts move a match: its settings and what remains."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.bands import HIGH, LOW, Band, band_of
from forkwright.bench.conditions import Conditions
from forkwright.bench.nearest_clicks import NearestClicks
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Setting, Unit, with_setting
from forkwright.physics.values import Array
from forkwright.tune.adjuster_band import AdjusterBand, band_from
from forkwright.tune.adjusters import value_in
from forkwright.tune.drawn_damping import damping_force, drawn_damping
from forkwright.tune.drawn_spring import drawn_settings
from forkwright.tune.nearest_coil import COIL_STEP, PRELOAD_STEP, NearestCoil, nearest_coils, with_rate
from forkwright.tune.nearest_spring import NearestSpring
from forkwright.tune.paired_draws import paired
from forkwright.tune.spring_grid import Yardstick
from forkwright.tune.use import Use

DRAWS = 200
"""Pairs of springs drawn from the tolerances."""

DAMPER_DRAWS = 40
"""Pairs of dampers, the first of those; each solves its own shim stacks."""


@dataclass(frozen=True)
class RemainderBand:
    """What remains at the match's setting: over travel (m) or speed (m/s), and its weighted rms, N."""

    over: Array
    band: Band
    rms_low: float
    rms_high: float
    beyond: float  # share of the weight where zero lies outside the band: the remainder is no mismeasurement


@dataclass(frozen=True)
class MatchBands:
    """Bands of a match, 5 % to 95 % of the draws; what a unit does not have is None."""

    draws: int
    damper_draws: int
    adjusters: tuple[AdjusterBand, ...]
    spring: RemainderBand | None
    damping: RemainderBand | None


def match_bands(
    a: Unit,
    b: Unit,
    setting_a: Setting,
    setting: Setting,
    use: Use,
    spring: NearestSpring | None,
    coil: NearestCoil | None,
    clicks: NearestClicks | None,
    *,
    conditions: Conditions | None,
    oil_temperature: float,
    pump_step: float,
    secondary_step: float,
    draws: int = DRAWS,
    damper_draws: int = DAMPER_DRAWS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> MatchBands:
    """Return the bands of a match of `b` (at `setting`) to `a`.

    Parameters
    ----------
    a, b : Unit
    setting_a, setting : Setting
        A's, and the one found for B.
    use : Use
    spring, coil, clicks : NearestSpring, NearestCoil, NearestClicks or None
        What the match found.
    conditions, oil_temperature, pump_step, secondary_step
        As in `match` (K, Pa).
    draws, damper_draws : int
        Pairs of springs and of dampers.
    seed : int
        Of the draws.
    progress : callable, optional
        Told the share done; may raise to stop.

    Notes
    -----
    Source: Monte-Carlo propagation, JCGM 101:2008, clause 7. For every pair of drawn springs the nearest
    pressures and spacers are found anew (`drawn_settings`). The clicks of each adjuster are chosen anew with
    the others kept, a click changing the drawn damper's force as it does the nominal one's (to first order).
    """
    if coil is not None:
        b = with_rate(b, coil.rate)
    drawn = paired(with_setting(a, setting_a), with_setting(b, setting), draws, seed)
    adjusters: list[AdjusterBand] = []
    left = damped = None
    if spring is not None or coil is not None:
        left, moved = _spring_bands(b, drawn, setting, spring, coil, conditions, pump_step, secondary_step)
        adjusters += moved
    if progress is not None:
        progress(0.2)
    if clicks is not None:
        remainder = clicks.remainder + drawn_damping(
            a, b, *drawn, setting_a, setting, use.speed, oil_temperature, min(draws, damper_draws),
            None if progress is None else lambda share: progress(0.2 + 0.75 * share),
        )  # fmt: skip
        damped = _remainder(use.speed, use.speed_weight, remainder)
        adjusters += _clicks(b, setting, clicks, use, oil_temperature, remainder)
    return MatchBands(draws, min(draws, damper_draws), tuple(adjusters), left, damped)


def _spring_bands(
    b: Unit,
    drawn: tuple[Unit, Unit],
    setting: Setting,
    spring: NearestSpring | None,
    coil: NearestCoil | None,
    conditions: Conditions | None,
    pump_step: float,
    secondary_step: float,
) -> tuple[RemainderBand, list[AdjusterBand]]:
    """What remains of the springs at the match's setting, and where every drawn pair would want it."""
    found = spring or coil
    assert found is not None
    travel, weight = found.travel, found.weight
    wanted, force = (spring_curve(many, None, conditions, travel=travel).force for many in drawn)
    wanted, force = np.broadcast_arrays(wanted, force)
    left = _remainder(travel, weight, force - wanted)
    if coil is not None:
        rates, preloads = nearest_coils(coil, wanted - force)
        return left, [
            band_from("rate", rates, coil.rate, COIL_STEP),
            band_from("preload", preloads, coil.preload, PRELOAD_STEP),
        ]
    moved = drawn_settings(
        b, drawn[1], setting, Yardstick(travel, wanted[0], weight), wanted, conditions, pump_step,
        secondary_step,
    )  # fmt: skip
    return left, [
        band_from(name, values, value_in(setting, name), moved.steps[name])
        for name, values in moved.values.items()
    ]


def _remainder(over: Array, weight: Array, remainder: Array) -> RemainderBand:
    rms = np.quantile(np.sqrt(remainder**2 @ weight), (LOW, HIGH))
    band = band_of(np.ascontiguousarray(remainder.T))
    beyond = (band.low > 0.0) | (band.high < 0.0)
    return RemainderBand(over, band, float(rms[0]), float(rms[1]), float(weight[beyond].sum()))


def _clicks(
    unit: Unit, setting: Setting, clicks: NearestClicks, use: Use, oil_temperature: float, remainder: Array
) -> list[AdjusterBand]:
    """Where each click adjuster would stand for every drawn pair, the other adjusters kept."""
    assert unit.damper is not None
    here = damping_force(unit, setting, use.speed, oil_temperature)
    found = []
    for name, number in clicks.clicks.items():
        every = np.arange(unit.damper.click_ranges()[name] + 1)
        change = np.array(
            [
                damping_force(unit, setting.changed(**{name: int(click)}), use.speed, oil_temperature) - here
                for click in every
            ]
        )
        errors = (remainder[:, np.newaxis, :] + change) ** 2 @ use.speed_weight
        found.append(band_from(name, every[errors.argmin(axis=1)].astype(np.float64), float(number), 0.5))
    return found
