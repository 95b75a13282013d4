"""The air spring as the physics takes it: the geometry of its chambers, and what the pump left in them."""

from __future__ import annotations

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.hardware import Setting
from forkwright.hardware.air_spring import AirSpring
from forkwright.hardware.air_spring import FloatingPiston as FloatingPart
from forkwright.physics.air_spring import Chambers, Fill
from forkwright.physics.floating_piston import FloatingPiston


def chambers_of(air: AirSpring, spacers: int) -> Chambers:
    """Return the air spring's geometry with a number of spacers in the positive chamber.

    Parameters
    ----------
    air : AirSpring
    spacers : int
        Number of spacers in the positive chamber.

    Returns
    -------
    Chambers
        m2 and m3.

    Notes
    -----
    Source: areas of circles; each spacer takes its own volume.
    """
    piston_area = np.pi / 4.0 * air.bore.si**2
    taken = spacers * air.spacers.volume.si if air.spacers is not None and spacers else 0.0
    return Chambers(
        piston_area=piston_area,
        negative_area=piston_area - np.pi / 4.0 * air.shaft.si**2,
        positive_volume=air.positive_volume.si - taken,
        negative_volume=air.negative_volume.si
        if air.negative_volume is not None and air.negative != "coil"
        else None,
        transfer=air.transfer.si if air.transfer is not None and air.negative == "transfer" else None,
        floating=_floating_piston(air.floating) if air.floating is not None else None,
    )


def fill_of(setting: Setting, conditions: Conditions) -> Fill:
    """Return what the pump left in each chamber, absolute.

    Parameters
    ----------
    setting : Setting
        Gauge pressures.
    conditions : Conditions
        Of filling and of riding.

    Returns
    -------
    Fill
        Pa absolute.
    """
    then = conditions.fill_pressure
    return Fill(
        positive=(setting.pressure.si if setting.pressure is not None else 0.0) + then,
        negative=setting.negative_pressure.si + then if setting.negative_pressure is not None else None,
        secondary=setting.floating.si + then if setting.floating is not None else None,
        temperature_ratio=conditions.temperature_ratio,
    )


def _floating_piston(part: FloatingPart) -> FloatingPiston:
    area = np.pi / 4.0 * part.bore.si**2
    second = area if part.secondary_bore is None else np.pi / 4.0 * part.secondary_bore.si**2
    friction = part.friction.si if part.friction is not None else 0.0
    return FloatingPiston(area, second, part.volume.si, part.stroke.si, friction)
