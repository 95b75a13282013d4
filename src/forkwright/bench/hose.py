"""Reading a pressure back with a pump: what the hose takes, and what must have been in the chamber."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.bench.chambers import chambers_of
from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Setting, Unit, with_setting
from forkwright.physics import Unphysical, gas


@dataclass(frozen=True)
class HoseReading:
    """One chamber before and after a hose is connected, gauge Pa; volumes m3."""

    chamber: str
    volume: float
    before: float
    after: float  # what the pump reads, and what is left in the chamber
    to_keep: float  # what the pump must be brought back to, so that the set pressure is kept


def hose_readings(
    unit: Unit, hose_volume: float, setting: Setting | None = None, conditions: Conditions | None = None
) -> tuple[HoseReading, ...]:
    """Return what connecting a pump does to every chamber that has a valve, at full extension.

    Parameters
    ----------
    unit : Unit
    hose_volume : float
        Of hose and pump head, m3, at ambient pressure before it is connected.
    setting, conditions
        As in `spring_curve`.

    Returns
    -------
    tuple of HoseReading
        The positive chamber, the negative one where it has a valve of its own, and the secondary one where
        there is a floating piston.

    Raises
    ------
    Unphysical
        If the unit has no air spring, or the hose has no volume.

    Notes
    -----
    Source: amounts of an ideal gas add up at equal temperature (`forkwright.physics.gas.after_hose`). The
    pump's own gauge then shows the pressure of chamber and hose together; pumping back to the set pressure
    before disconnecting keeps it, since the hose closes with what is in it. A floating piston is taken to
    stay where it is.
    """
    conditions = conditions or Conditions()
    unit = with_setting(unit, setting)
    air = unit.air_spring
    if air is None or unit.setting.pressure is None:
        raise Unphysical("only an air spring has a pressure to read back")
    if not hose_volume > 0.0:
        raise Unphysical("the hose must have a volume above zero")
    curve = spring_curve(unit, None, conditions, points=2)
    chambers = chambers_of(air, unit.setting.spacers)
    displaced, piston = float(curve.floating[0]), chambers.floating
    gained = float(piston.area) * displaced if piston is not None else 0.0
    volumes = [("positive", float(curve.positive[0]), float(chambers.positive_volume) + gained)]
    if air.negative == "valve" and chambers.negative_volume is not None:
        volumes.append(("negative", float(curve.negative[0]), float(chambers.negative_volume)))
    if piston is not None:
        left = float(piston.volume) - float(piston.secondary_area) * displaced
        volumes.append(("secondary", float(curve.secondary[0]), left))
    ambient = conditions.ambient_pressure
    return tuple(
        HoseReading(
            chamber=name,
            volume=volume,
            before=pressure - ambient,
            after=gas.after_hose(pressure, volume, ambient, hose_volume) - ambient,
            to_keep=pressure - ambient,
        )
        for name, pressure, volume in volumes
    )
