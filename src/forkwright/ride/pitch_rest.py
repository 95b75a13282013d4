"""Where both ends of a bike rest: the static loads, and the state that carries them without friction."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics import G0, Unphysical
from forkwright.ride.pitch_ends import WheelEnd
from forkwright.ride.pitch_layout import Layout

Array = NDArray[np.float64]

FURTHEST = 2.0
"""m beyond its travel: where a rest is looked for no further."""


def settled(ends: tuple[WheelEnd, WheelEnd], layout: Layout, first: Array, tyre_stiffness: float) -> Array:
    """The state in which both ends carry their static loads without friction."""
    gravity, moment, braking = float(first[4]), float(first[5]), float(first[6])
    carried = static_loads(layout, gravity, moment)
    at_end, wheels = [], []
    for place, (end, load, unsprung) in enumerate(
        zip(ends, carried, (layout.unsprung_front, layout.unsprung_rear), strict=True)
    ):
        if load <= 0.0:
            where = "front" if place == 0 else "rear"
            raise Unphysical(f"the {where} wheel carries nothing at the start: the rider would go over")
        wanted = load + (braking if place == 0 else 0.0)
        travel = resting_travel(end, wanted)
        wheels.append(float(first[place]) - (load + unsprung * gravity) / tyre_stiffness)
        at_end.append(wheels[-1] - travel)
    pitch = (at_end[0] - at_end[1]) / layout.wheelbase
    heave = at_end[0] - layout.to_front * pitch
    state = np.zeros(10)
    state[:4] = heave, pitch, wheels[0], wheels[1]
    return state


def static_loads(layout: Layout, gravity: float = G0, moment: float = 0.0) -> tuple[float, float]:
    """Return the sprung loads on front and rear (N) under a gravity (m/s2) and a nose-up moment (N m).

    Notes
    -----
    Source: statics (derived): both add up to the weight, and their moments about the centre to none.
    """
    weight, base = layout.mass * gravity, layout.wheelbase
    return (weight * layout.to_rear - moment) / base, (weight * layout.to_front + moment) / base


def resting_travel(end: WheelEnd, load: float) -> float:
    """Return the vertical wheel travel (m) at which an end carries a load (N) without friction."""
    from scipy.optimize import brentq

    def missing(travel: float) -> float:
        inside = min(max(travel, 0.0), end.full)
        force = float(np.interp(inside, end.travel, end.spring))
        return force + end.top_out * min(travel, 0.0) + end.stop * max(travel - end.full, 0.0) - load

    reach = 0.2
    while missing(-reach) > 0.0 or missing(end.full + reach) < 0.0:
        reach *= 2.0
        if reach > FURTHEST:
            raise Unphysical(
                f"{end.unit.name}: nothing carries {load:.0f} N at the wheel: check the leverage's points"
            )
    return float(brentq(missing, -reach, end.full + reach))
