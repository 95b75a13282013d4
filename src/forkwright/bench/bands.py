"""Tolerance bands: the same bench reading for thousands of units drawn from the callipers' tolerances."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.sag import Load, sag
from forkwright.bench.spring import SpringCurve, spring_curve
from forkwright.hardware import Setting, Unit, cut, drawn, with_setting
from forkwright.physics.values import Array

DRAWS = 10_000
LOW, HIGH = 0.05, 0.95
"""Quantiles of a band: nine of ten units as measured lie within."""

# Draws are worked off in blocks that stay in a core's cache.
_BLOCK = 125


@dataclass(frozen=True)
class Band:
    """A quantity's band over an axis: 5 %, 50 % and 95 % of the draws, in the quantity's SI unit."""

    low: Array
    middle: Array
    high: Array


def spring_bands(
    unit: Unit,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
    *,
    exponent: float = 1.0,
    points: int = 161,
    draws: int = DRAWS,
    seed: int = 1,
    fields: tuple[str, ...] = ("force",),
    side_load: float = 0.0,
) -> dict[str, Band]:
    """Return bands of spring-curve fields over the travel.

    Parameters
    ----------
    unit : Unit
    setting, conditions, exponent, points, side_load
        As in `spring_curve`.
    draws : int
        Number of units drawn from the tolerances.
    seed : int
        Seed of the draws; the same seed gives the same bands.
    fields : tuple of str
        Fields of `SpringCurve` to band, for example ``("force", "rate", "positive")``.

    Returns
    -------
    dict of str to Band
        By field; arrays of shape (points,).

    Notes
    -----
    Source: Monte-Carlo propagation of distributions, JCGM 101:2008, clause 7; tolerances are taken as one
    standard deviation of a normal distribution.
    """
    unit = with_setting(unit, setting)
    travel = np.linspace(0.0, unit.travel.si, points)

    def read(block: Unit) -> SpringCurve:
        return spring_curve(block, None, conditions, exponent=exponent, travel=travel, side_load=side_load)

    collected = _collect(unit, read, fields, points, draws, seed)
    return {name: band_of(values) for name, values in collected.items()}


def sag_bands(
    unit: Unit,
    load: Load,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
    *,
    side_load: float = 0.0,
    extra_friction: float = 0.0,
    draws: int = 2000,
    seed: int = 1,
) -> dict[str, Band]:
    """Return bands of the low end, middle and high end of the sag, by those names; arrays of shape (1,).

    Parameters
    ----------
    unit : Unit
        As it was read from its file.
    load : float
        Along the unit's axis, N.
    setting : Setting, optional
        The unit's own by default.
    conditions : Conditions, optional
        Sea level and 20 degC by default.
    side_load : float
        At the axle, normal to the leg axis, N.
    extra_friction : float
        As in `sag`, N.
    draws : int
        Number of units drawn.
    seed : int
        Of the draws.

    Returns
    -------
    dict of str to Band
        `low`, `middle`, `high` and `rest`, m.
    """
    parts: dict[str, list[Array]] = {"low": [], "middle": [], "high": [], "rest": []}
    for block in _blocks(with_setting(unit, setting), draws, seed):
        found = sag(block, load, None, conditions, side_load=side_load, extra_friction=extra_friction)
        for name, values in parts.items():
            values.append(np.broadcast_to(getattr(found, name), (_BLOCK,)))
    return {name: band_of(np.concatenate(values)[np.newaxis, :]) for name, values in parts.items()}


def band_of(values: Array) -> Band:
    """Return the band of draws on the last axis of `values`; the array is sorted in place.

    Quantiles are interpolated linearly between the sorted draws. (Sorting whole rows is several times faster
    than selecting a few ranks with NumPy's partition.)

    Parameters
    ----------
    values : array, shape (..., draws)
        Any unit; sorted in place.

    Returns
    -------
    Band
        Of the same unit.

    Notes
    -----
    Source: definition of a quantile, linear between order statistics.
    """
    values.sort(axis=-1)
    last = values.shape[-1] - 1

    def at(rank: float) -> Array:
        below = int(rank)
        share = rank - below
        row: Array = values[..., below] * (1.0 - share) + values[..., min(below + 1, last)] * share
        return row

    low, middle, high = (at(quantile * last) for quantile in (LOW, 0.5, HIGH))
    return Band(low, middle, high)


def _collect(
    unit: Unit,
    read: Callable[[Unit], SpringCurve],
    fields: tuple[str, ...],
    points: int,
    draws: int,
    seed: int,
) -> dict[str, Array]:
    """Return the draws of each field, shape (points, draws), so that a point's draws lie together."""
    blocks = -(-draws // _BLOCK)
    out = {name: np.empty((points, blocks * _BLOCK)) for name in fields}
    for number, block in enumerate(_blocks(unit, draws, seed)):
        curve = read(block)
        for name, values in out.items():
            values[:, number * _BLOCK : (number + 1) * _BLOCK] = np.atleast_2d(getattr(curve, name)).T
    return {name: values[:, :draws] for name, values in out.items()}


def _blocks(unit: Unit, draws: int, seed: int) -> list[Unit]:
    """Draw once for all, then cut the draws into blocks (the last draws fill up the last block)."""
    blocks = -(-draws // _BLOCK)
    return cut(drawn(unit, blocks * _BLOCK, seed, only=_acts_on_the_spring), blocks)


def _acts_on_the_spring(path: str) -> bool:
    """Of the damper, the spring bench feels the shaft alone."""
    return not path.startswith("damper.") or path == "damper.shaft"
