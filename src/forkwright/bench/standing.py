"""What a rider standing on a bike puts on a unit: along a fork's axis, or on a shock over its stroke."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.bench.loads import fork_load, rear_wheel_load
from forkwright.bench.rear_linkage import linkage_of
from forkwright.bench.rear_sag import shock_load, wheel_sag
from forkwright.bench.sag import Load, Sag, sag
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.physics.values import Array


@dataclass(frozen=True)
class Standing:
    """Loads on one unit, N: `axial` on its spring over the travel along its axis, `side` across it.

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
    Source: statics and virtual work (derived). The push of the damper's gas carries part of the load, so
    it is taken off what the spring has to carry.
    """
    push = gas_push(unit, conditions)
    if unit.kind == "fork":
        load = fork_load(rider, bike)

        def on_the_air(travel: Array) -> Array:
            return np.asarray(load.axial - push(travel), np.float64)

        return Standing(on_the_air, float(load.side), None)
    wheel = float(rear_wheel_load(rider, bike))
    through = shock_load(linkage_of(bike), wheel)

    def on_the_spring(stroke: Array) -> Array:
        return np.asarray(through(stroke) - push(stroke), np.float64)

    return Standing(on_the_spring, 0.0, wheel)


def standing_sag(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    setting: Setting | None = None,
    conditions: Conditions | None = None,
) -> Sag:
    """Return where a unit rests under a rider standing on the bike, as a band.

    Parameters
    ----------
    unit : Unit
    rider, bike : Rider, Bike
    setting : Setting, optional
        By default the one in the unit's file.
    conditions : Conditions, optional
        By default sea level and 20 degC.

    Returns
    -------
    Sag
        Along the unit's axis; its load is the whole, which spring and damper's gas carry together.

    Raises
    ------
    InputError
        If a shock's bike has no leverage curve.

    Notes
    -----
    Source: as `standing_load` and `bench.sag.sag`. A ride starts from the same balance.
    """
    if unit.kind != "fork":
        return wheel_sag(unit, bike, float(rear_wheel_load(rider, bike)), setting, conditions).shock
    load = fork_load(rider, bike)
    return sag(
        unit, float(load.axial), setting, conditions, side_load=float(load.side),
        push=gas_push(unit, conditions), extra_friction=seal_of(unit),
    )  # fmt: skip
