"""The travel and the speeds that are really used: the weight with which two units are compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.ride_use import UsedRange
from forkwright.physics.values import Array
from forkwright.ride.scores import SPEED_EDGES, TRAVEL_EDGES, Scores
from forkwright.units import InputError

STATED_SPEEDS = (-2.0, -1.0, -0.5, -0.2, -0.1, -0.05, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0)


@dataclass(frozen=True)
class Use:
    """How much each travel and each shaft speed counts.

    `travel_weight` belongs to `travel` (m) and `speed_weight` to `speed` (m/s); each adds up to 1.
    """

    travel: Array
    travel_weight: Array
    speed: Array
    speed_weight: Array
    words: str  # where it comes from


def even_use(full_travel: float) -> Use:
    """Return even weights over the travel and a ladder of speeds: what is taken when nothing is known."""
    travel = np.linspace(0.0, full_travel, 161)
    speed = np.array(STATED_SPEEDS)
    return Use(
        travel, _shares(np.ones(161)), speed, _shares(np.ones(speed.size)), "all travel and speeds alike"
    )


def stated_use(full_travel: float, low: float, high: float, fastest: float) -> Use:
    """Return even weights over a stated stretch of travel (m) and speeds up to `fastest` (m/s).

    Raises
    ------
    InputError
        If the stretch is empty or outside the travel.
    """
    if not 0.0 <= low < high <= full_travel * (1 + 1e-9):
        raise InputError(
            "the used travel must be a stretch within the travel",
            value=f"{low * 1e3:g} to {high * 1e3:g} mm",
            allowed=f"0 to {full_travel * 1e3:g} mm",
        )
    if not 0.0 < fastest <= 20.0:
        raise InputError("the fastest speed is out of range", value=f"{fastest:g} m/s", allowed="0 to 20 m/s")
    travel = np.linspace(0.0, full_travel, 161)
    inside = (travel >= low - 1e-9) & (travel <= high + 1e-9)
    speed = fastest * np.array([-1.0, -0.5, -0.25, -0.1, -0.05, -0.02, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0])
    words = f"travel from {low * 1e3:.0f} to {high * 1e3:.0f} mm, speeds up to {fastest:g} m/s, as stated"
    return Use(travel, _shares(inside.astype(np.float64)), speed, _shares(np.ones(12)), words)


def use_from(used: UsedRange, words: str) -> Use:
    """Return the weights from the histograms of a ride log or of a simulated ride.

    Bins become their middles; the two open bins of speed stand half a neighbouring bin further out. The bin
    around standstill tells nothing about damping and is left out.
    """
    travel = 0.5 * (used.travel_edges[1:] + used.travel_edges[:-1])
    edges = used.speed_edges
    outer = (edges[0] - 0.5 * (edges[1] - edges[0]), edges[-1] + 0.5 * (edges[-1] - edges[-2]))
    speed = np.concatenate(([outer[0]], 0.5 * (edges[1:] + edges[:-1]), [outer[1]]))
    moving = np.abs(speed) > 1e-6
    fine = np.linspace(0.0, used.travel_edges[-1], 161)
    weight = np.interp(
        fine, travel, used.travel_share, left=used.travel_share[0], right=used.travel_share[-1]
    )
    return Use(fine, _shares(weight), speed[moving], _shares(used.speed_share[moving]), words)


def use_from_rides(scores: Sequence[Scores], full_travel: float, words: str) -> Use:
    """Return the weights from simulated rides of one unit, each ride by its duration.

    Parameters
    ----------
    scores : sequence of Scores
        One or more.
    full_travel : float
        m, of the unit ridden.
    words : str
        Where they come from.
    """
    time = np.array([score.duration_s for score in scores])
    share = time / time.sum()
    used = UsedRange(
        TRAVEL_EDGES * full_travel,
        share @ np.array([score.travel_share for score in scores]),
        SPEED_EDGES,
        share @ np.array([score.speed_share for score in scores]),
        float(time.sum()),
    )
    return use_from(used, words)


def _shares(weights: Array) -> Array:
    total = float(weights.sum())
    if not total > 0.0:
        raise InputError("no time was spent moving: the use cannot weigh anything")
    return np.asarray(weights / total, np.float64)
