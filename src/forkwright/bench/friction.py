"""What holds a unit: the running friction of seals and bushings, and how much more of it there is at rest."""

from __future__ import annotations

import numpy as np

from forkwright.bench.chassis import bushing_loads
from forkwright.hardware import Unit
from forkwright.physics.air_spring import AirState
from forkwright.physics.friction import bushing_friction, seal_friction
from forkwright.physics.values import Array, Value


def running_friction(
    unit: Unit, air: AirState | None, travel: Array, ambient: float, side_load: float
) -> Array:
    """Return the friction of seals and bushings while moving slowly, N, over the travel.

    Parameters
    ----------
    unit : Unit
    air : AirState or None
        The state of the air spring over the travel.
    travel : array
        m.
    ambient : float
        Pa absolute.
    side_load : float
        At the axle, normal to the leg axis, N.

    Returns
    -------
    array
        N, a magnitude.
    """
    total: Array = np.zeros_like(travel)
    if unit.air_spring is not None and air is not None:
        spring = unit.air_spring
        plain = spring.seal_friction.si if spring.seal_friction is not None else 0.0
        area = spring.seal_area.si if spring.seal_area is not None else 0.0
        total = total + seal_friction(plain, area, air.positive - ambient)
        if spring.floating is not None and spring.floating.friction is not None:
            total = total + spring.floating.friction.si
    chassis = unit.chassis
    if chassis is not None and chassis.bushing_friction is not None:
        loads = bushing_loads(unit, travel, side_load)
        if loads is not None:
            total = total + bushing_friction(chassis.bushing_friction.si, *loads.magnitudes())
    return total


def breakaway_factor(unit: Unit) -> Value:
    """Return what multiplies the running friction at rest; 1 where the file does not give it.

    Parameters
    ----------
    unit : Unit
        As it was read from its file.

    Returns
    -------
    float or array
        No unit, at least 1.
    """
    chassis = unit.chassis
    return chassis.breakaway.si if chassis is not None and chassis.breakaway is not None else 1.0
