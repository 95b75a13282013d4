"""Which courses make up a logged ride: shares of simulated rides whose mixture comes nearest to the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.ride_log import RideLog
from forkwright.physics.values import Array
from forkwright.ride.scores import Scores
from forkwright.units import InputError

POOR = 0.05
"""Gap between the shares of time beyond which the courses are said not to make up the ride (our own)."""
_SUM_HELD = 1e4  # how much heavier than the gaps the sum of the shares counts, so that it is one


@dataclass(frozen=True)
class CourseShares:
    """How much of a logged ride each course stands for.

    Parameters
    ----------
    names : tuple of str
        The courses.
    shares : ndarray, shape (k,)
        Shares of the riding time, not negative, adding up to 1.
    gap : float
        What the best mixture leaves: root mean square over the edges of both histograms of the difference in
        the share of time below the edge (0 to 1).
    alone : ndarray, shape (k,)
        The same for each course by itself.
    logged_deepest, simulated_deepest : float
        Deepest travel, share of the travel; of the simulated rides the deepest of those that have a share.
    warnings : tuple of str
        What to mind.
    """

    names: tuple[str, ...]
    shares: Array
    gap: float
    alone: Array
    logged_deepest: float
    simulated_deepest: float
    warnings: tuple[str, ...]


def course_shares(log: RideLog, scores: Sequence[Scores], names: Sequence[str]) -> CourseShares:
    """Return the shares of courses whose simulated rides together use travel and speeds as the log does.

    Parameters
    ----------
    log : RideLog
        Of the unit at the setting the simulated rides have.
    scores : sequence of Scores
        One simulated ride for each course.
    names : sequence of str
        What the courses are called, in the same order.

    Returns
    -------
    CourseShares

    Raises
    ------
    InputError
        If there is no course, or not one name for each.

    Notes
    -----
    Source: the histogram of a mixture is the mixture of the histograms (derived). Own choice of what is
    least: the squared gaps of the cumulative shares at the inner edges, travel and speed counting alike, by
    non-negative least squares (`scipy.optimize.nnls`).
    """
    from scipy.optimize import nnls

    if not scores or len(scores) != len(names):
        raise InputError("a simulated ride for each course is needed", value=f"{len(scores)} of {len(names)}")
    wanted = _cumulative(log.whole.used.travel_share, log.whole.used.speed_share)
    given = np.column_stack([_cumulative(s.travel_share, s.speed_share) for s in scores])
    rows = np.vstack([given, np.full((1, len(scores)), _SUM_HELD)])
    found, _ = nnls(rows, np.append(wanted, _SUM_HELD))
    shares = np.asarray(found / found.sum(), dtype=np.float64)
    gap = _gap(given @ shares - wanted)
    reached = max(float(s.greatest_travel_m) for s, share in zip(scores, shares, strict=True) if share > 0.01)
    deepest = log.whole.deepest / log.full_travel
    return CourseShares(
        tuple(names), shares, gap,
        np.array([_gap(column - wanted) for column in given.T]),
        deepest, reached / log.full_travel, _warnings(gap, deepest, reached / log.full_travel),
    )  # fmt: skip


def _cumulative(travel_share: Array, speed_share: Array) -> Array:
    """Shares of time below the inner edges of both histograms, scaled so that both count alike."""
    parts = [np.cumsum(share)[:-1] / np.sqrt(2 * (share.size - 1)) for share in (travel_share, speed_share)]
    return np.concatenate(parts)


def _gap(difference: Array) -> float:
    return float(np.sqrt(difference @ difference))


def _warnings(gap: float, logged: float, simulated: float) -> tuple[str, ...]:
    words = []
    if gap > POOR:
        words.append(
            f"these courses do not make up the logged ride (the shares of time differ by {gap:.0%} rms): "
            "give courses more like it, or check rider, bike and the sensor's scale"
        )
    if logged > simulated + 0.03:
        words.append(
            f"the log went to {logged:.0%} of the travel, the simulated rides to {simulated:.0%}: "
            f"a margin of {logged - simulated:.0%} stands for what they do not show"
        )
    return tuple(words)
