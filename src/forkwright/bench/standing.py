"""What a rider standing on a bike puts on a unit: along a fork's axis, or on a shock over its stroke."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.gas_push import gas_push
from forkwright.bench.loads import fork_load, rear_wheel_load
from forkwright.bench.rear_linkage import linkage_of
from forkwright.bench.rear_sag import shock_load
from forkwright.bench.sag import Load
from forkwright.hardware import Bike, Rider, Unit
from forkwright.physics.values import Array


@dataclass(frozen=True)
class Standing:
    """Loads on one unit, N: `axial` along its axis (over the stroke for a shock), `side` across it.

    `wheel` is the vertical load on the rear wheel for a shock, None for a fork.
    """

    axial: Load
    side: float
    wheel: float | None


def standing_load(unit: Unit, rider: Rider, bike: Bike, conditions: Conditions | None = None) -> Standing:
    """Return what the rider's and the bike's weight puts on a unit.

    Parameters
    ----------
    unit : Unit
    rider, bike : Rider, Bike
    conditions : Conditions, optional
        By default sea level and 20 degC.

    Returns
    -------
    Standing

    Raises
    ------
    InputError
        If a shock's bike has no leverage curve.

    Notes
    -----
    Source: statics and virtual work (derived). The push of a shock's damper gas carries part of the load, so
    it is taken off what the spring has to carry.
    """
    if unit.kind == "fork":
        load = fork_load(rider, bike)
        return Standing(float(load.axial), float(load.side), None)
    wheel = float(rear_wheel_load(rider, bike))
    through, push = shock_load(linkage_of(bike), wheel), gas_push(unit, conditions)

    def on_the_spring(stroke: Array) -> Array:
        return np.asarray(through(stroke) - push(stroke), np.float64)

    return Standing(on_the_spring, 0.0, wheel)
