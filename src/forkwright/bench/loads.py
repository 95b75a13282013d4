"""What a rider on a bike puts on the fork: along the leg axis, across it, and through the brake."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.hardware import Bike, Rider
from forkwright.physics.constants import G0
from forkwright.physics.values import Value

ASSUMED_WHEEL_RADIUS = 0.37  # m, 622 mm rim (ISO 5775) with a tyre of about 58 mm


@dataclass(frozen=True)
class ForkLoad:
    """Loads on a fork, SI.

    `axial` compresses along the leg axis; `side` acts at the axle normal to it, forward; `moment` is that of
    the brake caliper on the lowers, of the same sense as that of a forward side load.
    """

    axial: Value  # N
    side: Value  # N
    moment: Value  # N m


def fork_load(rider: Rider, bike: Bike, *, deceleration: float = 0.0) -> ForkLoad:
    """Return the load on the fork from the sprung weight on the front wheel and from the front brake.

    Parameters
    ----------
    rider, bike : Rider, Bike
    deceleration : float
        By the front brake alone, m/s2; the weight it throws forward is not added (it depends on the rider).

    Returns
    -------
    ForkLoad

    Notes
    -----
    Source: statics (derived). With the head angle t from the horizontal, a vertical load W has ``W sin t``
    along the leg and ``W cos t`` across it, forward; a brake force B at the ground has ``B cos t`` along it
    and ``-B sin t`` across, and a caliper on the lowers passes on the moment ``-B r``.
    """
    weight = _sprung_mass(rider, bike) * bike.front_share.si * G0
    brake = (rider.mass.si + bike.mass.si) * deceleration
    sine, cosine = np.sin(bike.head_angle.si), np.cos(bike.head_angle.si)
    return ForkLoad(
        axial=weight * sine + brake * cosine,
        side=weight * cosine - brake * sine,
        moment=-brake * ASSUMED_WHEEL_RADIUS,
    )


def rear_wheel_load(rider: Rider, bike: Bike) -> Value:
    """Return the sprung weight on the rear wheel, N, taken as vertical at the wheel.

    Parameters
    ----------
    rider : Rider
    bike : Bike

    Returns
    -------
    float or array
        N.

    Notes
    -----
    Source: statics (derived); the share that does not stand on the front wheel.
    """
    return _sprung_mass(rider, bike) * (1.0 - bike.front_share.si) * G0


def _sprung_mass(rider: Rider, bike: Bike) -> Value:
    rear = bike.unsprung_rear.si if bike.unsprung_rear is not None else bike.unsprung_front.si
    return rider.mass.si + bike.mass.si - bike.unsprung_front.si - rear
