"""The reservoir behind the base valve: its pressure against the volume that the shaft has pushed into it.

Three kinds: a floating piston on a coil spring, the same on gas, and an elastic bladder. SI, absolute.
"""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.physics.errors import Unphysical

FULLEST_GAS = 0.95
"""Share of its gas volume at which a reservoir is taken as full: our own limit, for a pressure that ends."""


@dataclass(frozen=True)
class SpringReservoir:
    """A piston on a coil spring, its back open to the outside.

    Parameters
    ----------
    area : float
        Of the piston (m2).
    preload : float
        Spring force with no oil displaced (N).
    rate : float
        Of the spring (N/m).
    capacity : float
        Volume at which the piston meets its stop (m3).
    ambient_pressure : float
        Behind the piston (Pa absolute).
    """

    area: float
    preload: float
    rate: float
    capacity: float
    ambient_pressure: float

    def pressure(self, displaced: float) -> float:
        """Pressure (Pa absolute) with `displaced` (m3) pushed in; see `check_room`."""
        check_room(displaced, self.capacity)
        return self.ambient_pressure + (self.preload + self.rate * displaced / self.area) / self.area

    def slope(self, displaced: float) -> float:  # noqa: ARG002 - one face for all kinds
        """Rise of pressure per volume (Pa/m3)."""
        return self.rate / self.area**2


@dataclass(frozen=True)
class GasReservoir:
    """A piston (or a bag that does not resist) on sealed gas: ``p V^n`` stays what it was at the charge.

    Parameters
    ----------
    charge : float
        Gas pressure with no oil displaced (Pa absolute).
    volume : float
        Gas volume there (m3).
    exponent : float
        1 slow, 1.4 fast.
    capacity : float
        Volume at which the piston meets its stop (m3), not above `volume`.
    """

    charge: float
    volume: float
    exponent: float
    capacity: float

    def pressure(self, displaced: float) -> float:
        """Pressure (Pa absolute) with `displaced` (m3) pushed in; see `check_room`."""
        check_room(displaced, min(self.capacity, 0.999 * self.volume))
        return float(self.charge * (self.volume / (self.volume - displaced)) ** self.exponent)

    def slope(self, displaced: float) -> float:
        """Rise of pressure per volume (Pa/m3)."""
        return self.exponent * self.pressure(displaced) / (self.volume - displaced)


@dataclass(frozen=True)
class BladderReservoir:
    """An elastic bladder whose pressure grows in a straight line with the oil in it.

    Parameters
    ----------
    rest_pressure : float
        With no oil displaced (Pa absolute).
    full_pressure : float
        With `capacity` displaced (Pa absolute).
    capacity : float
        Volume at which its housing stops it (m3).

    Notes
    -----
    The straight line is an assumption (common practice, no source): measure two points of a real one.
    """

    rest_pressure: float
    full_pressure: float
    capacity: float

    def pressure(self, displaced: float) -> float:
        """Pressure (Pa absolute) with `displaced` (m3) pushed in; see `check_room`."""
        check_room(displaced, self.capacity)
        return self.rest_pressure + self.slope(displaced) * displaced

    def slope(self, displaced: float) -> float:  # noqa: ARG002 - one face for all kinds
        """Rise of pressure per volume (Pa/m3)."""
        return (self.full_pressure - self.rest_pressure) / self.capacity


Reservoir = SpringReservoir | GasReservoir | BladderReservoir


def check_room(displaced: float, capacity: float) -> None:
    """Refuse a volume (m3) that the reservoir cannot take.

    Parameters
    ----------
    displaced : float
        Volume that the shaft takes, m3.
    capacity : float
        Room that the reservoir has, m3.

    Raises
    ------
    Unphysical
        If the reservoir bottoms: the oil would have nowhere to go and the shaft would stop dead.

    Notes
    -----
    Source: oil does not give way (conservation of volume).
    """
    if displaced > capacity * (1.0 + 1e-9):
        raise Unphysical(
            f"the reservoir bottoms: the shaft displaces {displaced * 1e6:.2f} ml, "
            f"there is room for {capacity * 1e6:.2f} ml"
        )
