"""How a unit was used: riding sag, bottom-outs, speeds, and the histograms of travel and speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.evidence.signals import Motion
from forkwright.physics.values import Array
from forkwright.ride.scores import SPEED_EDGES, TRAVEL_EDGES

Mask = NDArray[np.bool_]
BOTTOMED = 0.98  # share of the travel that counts as bottomed out; a sensor's zero is no better than that
ARMED = 0.90  # below this share the next bottom-out counts anew
EXTENDED = 0.01
FAST = 0.5  # m/s; above this a movement counts as fast (our own)
DEEP = 0.8  # share of the travel beyond which a movement counts as deep (our own)


@dataclass(frozen=True)
class UsedRange:
    """How much of its time a unit spent at each travel and speed; the weight that matching settings needs.

    Parameters
    ----------
    travel_edges : ndarray, shape (21,)
        m; the first and last bin also hold what lies beyond.
    travel_share : ndarray, shape (20,)
        Share of the riding time, adding up to 1.
    speed_edges : ndarray, shape (14,)
        m/s, compression positive; one bin lies beyond each end.
    speed_share : ndarray, shape (15,)
        Share of the riding time, adding up to 1.
    duration : float
        s of riding that it stands for.
    """

    travel_edges: Array
    travel_share: Array
    speed_edges: Array
    speed_share: Array
    duration: float


@dataclass(frozen=True)
class Use:
    """How a unit was used over a log or a section of it.

    Parameters
    ----------
    name : str
        Section, or "whole ride".
    riding : float
        s of riding.
    riding_sag : float
        m, mean travel while riding.
    deepest : float
        m.
    usual_low, usual_high : float
        m; the unit is between them nine tenths of the riding time.
    bottom_outs, top_outs : int
        Times full travel, and full extension after use, were reached.
    fast_compression, fast_rebound : float
        Share of the riding time above 0.5 m/s each way.
    compression_speed, rebound_speed : float
        m/s that is exceeded in one hundredth of the riding time each way (both positive).
    deep : float
        Share of the riding time beyond 80 % of the travel.
    used : UsedRange
        Histograms.
    """

    name: str
    riding: float
    riding_sag: float
    deepest: float
    usual_low: float
    usual_high: float
    bottom_outs: int
    top_outs: int
    fast_compression: float
    fast_rebound: float
    compression_speed: float
    rebound_speed: float
    deep: float
    used: UsedRange


def use_of(name: str, motion: Motion, inside: Mask, full_travel: float) -> Use:
    """Return how the unit was used in the samples marked by `inside` (shape (n,), some True)."""
    travel, speed = motion.travel[inside], motion.speed[inside]
    low, high = np.quantile(travel, [0.05, 0.95])
    slow, quick = np.quantile(speed, [0.01, 0.99])
    full = bottom_outs(motion, full_travel)
    top = _entries(motion.travel < EXTENDED * full_travel, motion.travel > 0.1 * full_travel, armed=False)
    return Use(
        name=name,
        riding=travel.size / motion.rate,
        riding_sag=float(travel.mean()),
        deepest=float(travel.max()),
        usual_low=float(low),
        usual_high=float(high),
        bottom_outs=int(inside[full].sum()),
        top_outs=int(inside[top].sum()),
        fast_compression=float(np.mean(speed > FAST)),
        fast_rebound=float(np.mean(speed < -FAST)),
        compression_speed=max(float(quick), 0.0),
        rebound_speed=max(-float(slow), 0.0),
        deep=float(np.mean(travel > DEEP * full_travel)),
        used=used_range(travel, speed, full_travel, motion.rate),
    )


def bottom_outs(motion: Motion, full_travel: float) -> NDArray[np.intp]:
    """Return the samples at which the full travel (m) is used up; it counts anew once the unit came back."""
    return _entries(motion.travel > BOTTOMED * full_travel, motion.travel < ARMED * full_travel)


def used_range(travel: Array, speed: Array, full_travel: float, rate: float) -> UsedRange:
    """Return the travel and speed histograms, on the same edges as a simulated ride's scores.

    Parameters
    ----------
    travel, speed : ndarray, shape (n,)
        m and m/s while riding.
    full_travel : float
        m.
    rate : float
        Hz.
    """
    return UsedRange(
        TRAVEL_EDGES * full_travel,
        shares(travel / full_travel, TRAVEL_EDGES[1:-1]),
        SPEED_EDGES,
        shares(speed, SPEED_EDGES),
        travel.size / rate,
    )


def shares(values: Array, inner_edges: Array) -> Array:
    """Return the share of values in each bin; the outer two bins are open. Adds up to 1."""
    counts = np.bincount(np.searchsorted(inner_edges, values, side="right"), minlength=inner_edges.size + 1)
    return np.asarray(counts / values.size, dtype=np.float64)


def _entries(inside: Mask, rearmed: Mask, armed: bool = True) -> NDArray[np.intp]:
    """Indices where `inside` begins, each counting again only after `rearmed` was seen since the last."""
    events = np.where(inside, 1, np.where(rearmed, -1, 0))
    at = np.flatnonzero(events)
    before = np.concatenate([[-1 if armed else 1], events[at][:-1]])
    return np.asarray(at[(events[at] == 1) & (before == -1)], dtype=np.intp)
