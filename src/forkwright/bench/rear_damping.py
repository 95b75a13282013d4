"""A shock's damper as the rear wheel feels it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.rear_linkage import linkage_of
from forkwright.hardware import Bike
from forkwright.physics.values import Array


@dataclass(frozen=True)
class WheelDamping:
    """A damper at one wheel travel, seen from the wheel; arrays over the shaft speeds it was read at, SI."""

    wheel_travel: float  # m
    ratio: float  # dw/ds there
    speed: Array  # m/s at the wheel
    force: Array  # N at the wheel


def wheel_damping(
    bike: Bike, shaft_speed: Array, shaft_force: Array, *, stroke: float | None = None
) -> WheelDamping:
    """Return a damper curve (m/s, N at the shaft) as the rear wheel feels it at one stroke (m).

    Parameters
    ----------
    bike : Bike
        With a leverage curve.
    shaft_speed : array
        m/s, compression positive.
    shaft_force : array
        N, against compression positive.
    stroke : float, optional
        Of the shock, m; the middle by default.

    Returns
    -------
    WheelDamping
        m/s and N at the wheel.

    Notes
    -----
    Source: virtual work (derived): speeds grow by the leverage ratio, forces shrink by it.
    """
    link = linkage_of(bike)
    wheel = float(link.wheel_at(0.5 * link.full_stroke if stroke is None else stroke))
    ratio = float(link.ratio(np.array([wheel]))[0])
    return WheelDamping(wheel, ratio, shaft_speed * ratio, shaft_force / ratio)
