"""Settings with what their rides came to: aims over courses, hard bottom-outs, why one was refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.ride.portion import Rows
from forkwright.tune.aims import AIMS


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
