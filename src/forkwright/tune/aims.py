"""What a setting is judged by: four aims read off a ride's scores, and wishes as their weights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array
from forkwright.ride.portion import Rows
from forkwright.units import InputError

AIMS: dict[str, str] = {
    "grip": "variation of the tyre's load (standard deviation over mean), lower is better",
    "comfort": "weighted hand acceleration, rms in m/s2, lower is better",
    "support": "mean travel used while riding, share of travel, lower is better",
    "margin": "deepest travel of the worst course, share of travel, lower is better",
}
"""The aims with their definition (own definitions on the scores of docs/ride.md)."""

WISHES: dict[str, tuple[str, float]] = {
    "more grip": ("grip", 2.0),
    "more comfort": ("comfort", 2.0),
    "more support": ("support", 2.0),
    "more margin": ("margin", 2.0),
    "less grip": ("grip", 0.5),
    "less comfort": ("comfort", 0.5),
    "less support": ("support", 0.5),
    "less margin": ("margin", 0.5),
}
"""Wishes in plain words, the aim they speak of, and the factor on its weight."""


@dataclass(frozen=True)
class Judged:
    """Settings judged over courses: one row per setting.

    Parameters
    ----------
    values : array
        Settings, SI, shape (n, names).
    aims : array
        Shape (n, 4), columns as `AIMS`; infinite where a ride was refused.
    by_course : array
        Shape (n, courses, 4).
    metal : array
        Hard bottom-outs over all courses, shape (n,).
    deepest : array
        Deepest travel over all courses, share of travel, shape (n,).
    faults : tuple of str
        Why a setting was refused; empty where it was ridden.
    """

    values: Array
    aims: Array
    by_course: Array
    metal: Array
    deepest: Array
    faults: tuple[str, ...]

    def joined(self, other: Judged) -> Judged:
        """Return both together, these first."""
        return Judged(
            np.concatenate((self.values, other.values)),
            np.concatenate((self.aims, other.aims)),
            np.concatenate((self.by_course, other.by_course)),
            np.concatenate((self.metal, other.metal)),
            np.concatenate((self.deepest, other.deepest)),
            (*self.faults, *other.faults),
        )


def judge(values: Array, rows: Sequence[Rows], courses: int, full_travel: float) -> Judged:
    """Read the aims off the scores of settings.

    Parameters
    ----------
    values : array
        Settings, SI, shape (n, names).
    rows : sequence of Rows
        From `RidePool.score`, in order, `courses` rows to a setting.
    courses : int
    full_travel : float
        m.

    Returns
    -------
    Judged
    """
    columns: dict[str, list[object]] = {}
    for part in rows:
        for name, entries in part.scores.items():
            columns.setdefault(name, []).extend(entries)

    def read(name: str) -> Array:
        numbers = [np.inf if value is None else value for value in columns[name]]
        return np.array(numbers, dtype=np.float64).reshape(-1, courses)

    deepest = read("greatest_travel_m") / full_travel
    by_course = np.stack(
        (
            read("tyre_load_variation"),
            read("hand_acceleration_m_s2"),
            read("riding_sag_m") / full_travel,
            deepest,
        ),
        axis=-1,
    )
    faults = np.array(columns["fault"], dtype=object).reshape(-1, courses)
    aims = by_course.mean(axis=1)
    aims[:, 1] = np.sqrt(np.square(by_course[:, :, 1]).mean(axis=1))
    aims[:, 3] = deepest.max(axis=1)
    return Judged(
        values,
        aims,
        by_course,
        read("bottom_outs").sum(axis=1),
        deepest.max(axis=1),
        tuple(next((str(fault) for fault in row if fault), "") for row in faults),
    )


def weights_of(wishes: Sequence[str]) -> Array:
    """Return the weight of each aim for a list of wishes; equal without any.

    Raises
    ------
    InputError
        For a wish that is not in the list.
    """
    weights = dict.fromkeys(AIMS, 1.0)
    for wish in wishes:
        if wish not in WISHES:
            raise InputError("an unknown wish", key="--wish", value=wish, allowed=", ".join(WISHES))
        aim, factor = WISHES[wish]
        weights[aim] *= factor
    return np.array(list(weights.values()))


def cost(aims: Array, weights: Array, ideal: Array, nadir: Array) -> Array:
    """Return one number per setting: lower is better.

    Parameters
    ----------
    aims : array
        Shape (..., 4).
    weights : array
        Shape (4,).
    ideal, nadir : array
        Best and worst of each aim among the settings that no other beats in everything, shape (4,).

    Notes
    -----
    Source: augmented weighted Chebyshev achievement function (Wierzbicki; e.g. Miettinen, *Nonlinear
    Multiobjective Optimization*, from memory): the worst weighted shortfall, plus a tenth of their mean.
    """
    span = np.where(nadir > ideal, nadir - ideal, 1.0)
    short = weights / weights.mean() * (aims - ideal) / span
    return np.asarray(short.max(axis=-1) + 0.1 * short.mean(axis=-1), np.float64)


def front(aims: Array) -> Array:
    """Return the indices of the settings that no other beats in every aim (the Pareto front), ascending.

    Notes
    -----
    Source: definition of Pareto dominance.
    """
    finite = np.flatnonzero(np.isfinite(aims).all(axis=1))
    kept = []
    for index in finite:
        others = aims[finite]
        no_worse = (others <= aims[index]).all(axis=1)
        better = (others < aims[index]).any(axis=1)
        if not (no_worse & better).any():
            kept.append(index)
    return np.array(kept, dtype=np.int64)
