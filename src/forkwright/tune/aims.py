"""What a setting is judged by: four aims read off a ride's scores, and wishes as their weights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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

STRONG = 3.0
"""How many times more an aim counts once it is wished for (own choice)."""

WISHES: dict[str, tuple[str, float]] = {
    "more grip": ("grip", STRONG),
    "more comfort": ("comfort", STRONG),
    "more support": ("support", STRONG),
    "more margin": ("margin", STRONG),
    "less grip": ("grip", 1 / STRONG),
    "less comfort": ("comfort", 1 / STRONG),
    "less support": ("support", 1 / STRONG),
    "less margin": ("margin", 1 / STRONG),
}
"""Wishes in plain words, the aim they speak of, and the factor on its weight."""


@dataclass(frozen=True)
class Judged:
    """Settings judged over courses: one row per setting.

    Parameters
    ----------
    values : array
        Settings, SI, shape (n, names).
    by_course : array
        Shape (n, courses, 4), last axis as `AIMS`; infinite where a ride was refused.
    hits : array
        Hard bottom-outs, shape (n, courses); infinite where a ride was refused.
    faults : tuple of str
        Why a setting was refused; empty where it was ridden.
    course_shares : tuple of float
        How much each course counts, adding up to 1; alike where there are none.
    """

    values: Array
    by_course: Array
    hits: Array
    faults: tuple[str, ...]
    course_shares: tuple[float, ...] = ()

    @property
    def aims(self) -> Array:
        """Aims over all courses, shape (n, 4)."""
        return over_courses(self.by_course, self.course_shares)

    @property
    def metal(self) -> Array:
        """Hard bottom-outs over all courses, shape (n,)."""
        return np.asarray(self.hits.sum(axis=1), np.float64)

    @property
    def deepest(self) -> Array:
        """Deepest travel over all courses, share of travel, shape (n,)."""
        return np.asarray(self.by_course[:, :, 3].max(axis=1), np.float64)

    def joined(self, other: Judged) -> Judged:
        """Return both together, these first."""
        return Judged(
            np.concatenate((self.values, other.values)),
            np.concatenate((self.by_course, other.by_course)),
            np.concatenate((self.hits, other.hits)),
            (*self.faults, *other.faults),
            self.course_shares,
        )

    def on(self, courses: Sequence[int]) -> Judged:
        """Return the same settings judged on some of the courses alone."""
        chosen = list(courses)
        return Judged(self.values, self.by_course[:, chosen], self.hits[:, chosen], self.faults)

    def only(self, rows: NDArray[np.int64]) -> Judged:
        """Return some of the settings."""
        faults = tuple(self.faults[row] for row in rows)
        return Judged(self.values[rows], self.by_course[rows], self.hits[rows], faults, self.course_shares)

    def with_rows(self, rows: NDArray[np.int64], other: Judged) -> Judged:
        """Return these settings with some rows taken from elsewhere."""
        by_course, hits, faults = self.by_course.copy(), self.hits.copy(), list(self.faults)
        by_course[rows], hits[rows] = other.by_course, other.hits
        for row, fault in zip(rows, other.faults, strict=True):
            faults[row] = fault
        return Judged(self.values, by_course, hits, tuple(faults), other.course_shares)


def refused(values: Array, courses: int, course_shares: tuple[float, ...] = ()) -> Judged:
    """Return settings (SI, shape (n, names)) that a rider cannot ride, as they are judged."""
    count = len(values)
    return Judged(
        values,
        np.full((count, courses, len(AIMS)), np.inf),
        np.full((count, courses), np.inf),
        ("it would sag too little or too much to be ridden",) * count,
        course_shares,
    )


def over_courses(by_course: Array, course_shares: Sequence[float] = ()) -> Array:
    """Return the aims over several courses from those of each, shapes (n, courses, 4) to (n, 4).

    Parameters
    ----------
    by_course : array
        As in `Judged`.
    course_shares : sequence of float
        How much each course counts, adding up to 1; alike where there are none. The deepest travel and the
        hard bottom-outs of a course count whatever its share.

    Notes
    -----
    Own definition: grip and support are means, comfort is the root of the mean square, margin the deepest.
    """
    counted, shares = by_course, None
    if course_shares:
        kept = [
            place for place, share in enumerate(course_shares) if share > 0.0
        ]  # 0 times infinite is no number
        counted, shares = by_course[:, kept], [course_shares[place] for place in kept]
    aims = np.average(counted, axis=1, weights=shares)
    aims[:, 1] = np.sqrt(np.average(np.square(counted[:, :, 1]), axis=1, weights=shares))
    aims[:, 3] = by_course[:, :, 3].max(axis=1)
    return np.asarray(aims, np.float64)


def judge(
    values: Array,
    rows: Sequence[Rows],
    courses: int,
    full_travel: float,
    course_shares: tuple[float, ...] = (),
) -> Judged:
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
    course_shares : tuple of float
        How much each course counts; alike where there are none.

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

    by_course = np.stack(
        (
            read("tyre_load_variation"),
            read("hand_acceleration_m_s2"),
            read("riding_sag_m") / full_travel,
            read("greatest_travel_m") / full_travel,
        ),
        axis=-1,
    )
    faults = np.array(columns["fault"], dtype=object).reshape(-1, courses)
    reasons = tuple(next((str(fault) for fault in row if fault), "") for row in faults)
    return Judged(values, by_course, read("bottom_outs"), reasons, course_shares)


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


def wished_for(wishes: Sequence[str]) -> tuple[int, ...]:
    """Return the places in `AIMS` of those of which more is wished for."""
    weights = weights_of(wishes)
    return tuple(place for place in range(len(AIMS)) if weights[place] > 1.0)


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


def front(aims: Array) -> NDArray[np.int64]:
    """Return the indices of the settings that no other beats in every aim (the Pareto front), ascending.

    Parameters
    ----------
    aims : array
        Shape (n, k), lower is better; rows that are not finite are never on the front.

    Notes
    -----
    Source: definition of Pareto dominance. Sorted by their sum, a row can only be beaten by an earlier one,
    so each is compared with the front so far alone.
    """
    finite = np.flatnonzero(np.isfinite(aims).all(axis=1))
    order = finite[np.lexsort(aims[finite].T)]
    order = order[np.argsort(aims[order].sum(axis=1), kind="stable")]
    kept = np.empty((order.size, aims.shape[1]))
    chosen: list[int] = []
    for index in order:
        edge, row = kept[: len(chosen)], aims[index]
        beaten = (edge <= row).all(axis=1) & (edge < row).any(axis=1)
        if not beaten.any():
            kept[len(chosen)] = row
            chosen.append(int(index))
    return np.array(sorted(chosen), dtype=np.int64)
