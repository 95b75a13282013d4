"""What the dynamometer's step loop is given: plain tuples that compiled code can read. SI throughout."""

from __future__ import annotations

from typing import NamedTuple

P_REF = 101325.0
SOFT = 1.0 / 2000.0
"""Below the parting pressure a void opens: the room doubles per 2 kPa of further fall (1/Pa)."""


class OilParts(NamedTuple):
    """Oil: bulk modulus (Pa), free air (share), its exponent, parting pressure (Pa)."""

    bulk_modulus: float
    free_air: float
    exponent: float
    parting: float


class ReservoirParts(NamedTuple):
    """Reservoir law: gas (1) or straight line (0), rest pressure (Pa), rate (Pa/m3) or gas volume (m3),
    gas exponent, capacity (m3), friction (Pa)."""

    gas: int
    rest: float
    size: float
    exponent: float
    capacity: float
    friction: float


class Plate(NamedTuple):
    """A lagging check plate: port and unit slit (square, linear), share of the way it goes per step."""

    port_square: float
    port_linear: float
    slit_square: float
    slit_linear: float
    follow: float


class Geometry(NamedTuple):
    """Tube, annulus (m2); room of both chambers and of the reservoir's oil at full extension (m3)."""

    tube: float
    annulus: float
    compression_room: float
    shaft_room: float
    reservoir_room: float
