"""An air spring: how it is filled, and the pressure in each chamber at any travel.

Fill: at full extension the pump reads the set pressure. Filling and cycling are slow, so isothermal, up to
the transfer point where both chambers meet; from that state on each chamber follows its own gas.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.floating_piston import FloatingPiston, settle
from forkwright.physics.values import Array, Value


@dataclass(frozen=True, slots=True)
class Chambers:
    """Geometry of the chambers, SI; volumes at full extension, spacers already taken off.

    Parameters
    ----------
    piston_area, negative_area : float
        Areas on which the positive and the negative pressure act, m2.
    positive_volume, negative_volume : float
        m3; no negative chamber is a volume of None.
    transfer : float
        Compression at which the chambers meet, m; None where they never do.
    floating : FloatingPiston, optional
    """

    piston_area: Value
    negative_area: Value
    positive_volume: Value
    negative_volume: Value | None
    transfer: Value | None = None
    floating: FloatingPiston | None = None


@dataclass(frozen=True, slots=True)
class Fill:
    """What the pump left: absolute pressures (Pa) at full extension.

    `secondary` is that behind a floating piston, `negative` that of a chamber with a valve of its own.
    `temperature_ratio` is the gas temperature now over that at filling (kelvin over kelvin).
    """

    positive: Value
    negative: Value | None = None
    secondary: Value | None = None
    temperature_ratio: Value = 1.0


@dataclass(frozen=True, slots=True)
class Charge:
    """The gas in each chamber as ``p V**k``, SI, for one exponent."""

    exponent: float
    positive: Value
    negative: Value | None
    secondary: Value | None


@dataclass(frozen=True, slots=True)
class AirState:
    """Pressures (absolute, Pa), floating piston movement (m), and the force the chambers' air gives (N).

    `negative` is the ambient pressure where there is no negative chamber; `secondary` is None without a
    floating piston. `rate` is the derivative of `force` with travel, N/m. All arrays follow the travel axis.
    """

    positive: Array
    negative: Array
    movement: Array
    force: Array
    rate: Array
    secondary: Array | None = None


def charge(chambers: Chambers, fill: Fill, exponent: float, ambient: float) -> Charge:
    """Return the gas in each chamber after filling and slow cycling.

    Parameters
    ----------
    chambers : Chambers
    fill : Fill
    exponent : float
        Polytropic exponent the gas will follow from its settled state.
    ambient : float
        Ambient pressure, Pa (only a floating piston with unequal sides feels it).

    Returns
    -------
    Charge

    Raises
    ------
    Unphysical
        If a chamber has no volume left at the point where its gas is settled.

    Notes
    -----
    Source: ideal gas, isothermal filling (derived): ``p_t = p_set V_+(0) / V_+(x_t)``, both volumes including
    what the floating piston has given up; both chambers hold p_t there. A change of temperature scales the
    pressures at the settled state.
    """
    secondary, volume_at_set = None, chambers.positive_volume
    if chambers.floating is not None:
        if fill.secondary is None:
            raise Unphysical("a floating piston needs a secondary set pressure")
        secondary = fill.secondary * chambers.floating.volume * fill.temperature_ratio
        volume_at_set = _volume_at_set_pressure(chambers, chambers.floating, fill, ambient)
    amount = fill.positive * volume_at_set * fill.temperature_ratio
    settled_at = 0.0 if chambers.transfer is None else chambers.transfer
    open_volume = chambers.positive_volume - chambers.piston_area * settled_at
    if not np.all(open_volume > 0.0):
        raise Unphysical("the positive chamber has no volume left at the transfer point")
    pressure, volume, secondary_constant = _settled(
        chambers, amount, secondary, open_volume, exponent, ambient
    )
    negative = _negative_constant(chambers, fill, pressure, exponent)
    return Charge(exponent, pressure * volume**exponent, negative, secondary_constant)


def state(chambers: Chambers, gas: Charge, travel: Array, ambient: float, direction: float = 0.0) -> AirState:
    """Return pressures, piston movement, force and rate of the air spring at every travel.

    Parameters
    ----------
    chambers : Chambers
    gas : Charge
    travel : array
        Compression, m; the last axis.
    ambient : float
        Pa.
    direction : float
        +1 or -1 to include the floating piston's friction while compressing or extending.

    Returns
    -------
    AirState

    Raises
    ------
    Unphysical
        If a chamber would be compressed below zero volume.

    Notes
    -----
    Source: ``F = (p_+ - p_amb) A - (p_- - p_amb) A_n`` with ``p V**k`` constant in each chamber (derived).
    """
    open_volume = chambers.positive_volume - chambers.piston_area * travel
    if not np.all(open_volume > 0.0):
        raise Unphysical("the positive chamber would be compressed below zero volume")
    k = gas.exponent
    movement = np.zeros_like(open_volume)
    secondary: Array | None = None
    if chambers.floating is None:
        positive = gas.positive / (open_volume if k == 1.0 else open_volume**k)
        rate = k * chambers.piston_area**2 * positive / open_volume
    else:
        piston = settle(chambers.floating, gas.positive, gas.secondary, open_volume, k, ambient, direction)
        positive, movement, secondary = piston.pressure, piston.movement, piston.secondary
        rate = k * chambers.piston_area**2 * positive / (piston.positive_volume * piston.softening)
    force = (positive - ambient) * chambers.piston_area
    if gas.negative is None or chambers.negative_volume is None:
        return AirState(positive, np.full_like(positive, ambient), movement, force, rate, secondary)
    negative_volume = chambers.negative_volume + chambers.negative_area * travel
    if not np.all(negative_volume > 0.0):
        raise Unphysical("the negative chamber would be compressed below zero volume")
    negative = gas.negative / (negative_volume if k == 1.0 else negative_volume**k)
    force = force - (negative - ambient) * chambers.negative_area
    rate = rate + k * chambers.negative_area**2 * negative / negative_volume
    return AirState(positive, negative, movement, force, rate, secondary)


def _volume_at_set_pressure(chambers: Chambers, piston: FloatingPiston, fill: Fill, ambient: float) -> Value:
    """The positive volume while the pump reads the set pressure; the piston may already be displaced."""
    balancing = ambient + (fill.positive - ambient) * piston.area / piston.secondary_area
    movement = (piston.volume - fill.secondary * piston.volume / balancing) / piston.secondary_area
    movement = np.minimum(np.maximum(movement, 0.0), piston.stroke)
    return chambers.positive_volume + piston.area * movement


def _settled(chambers: Chambers, amount: Value, secondary: Value | None, open_volume: Value, exponent: float,
             ambient: float) -> tuple[Value, Value, Value | None]:  # fmt: skip
    """Pressure and volume of the positive gas at the settled state, and the secondary gas for `exponent`."""
    if chambers.floating is None or secondary is None:
        return amount / open_volume, open_volume, None
    piston = settle(chambers.floating, amount, secondary, np.asarray(open_volume), 1.0, ambient)
    secondary_volume = chambers.floating.volume - chambers.floating.secondary_area * piston.movement
    secondary_pressure = secondary / secondary_volume
    return piston.pressure, piston.positive_volume, secondary_pressure * secondary_volume**exponent


def _negative_constant(
    chambers: Chambers, fill: Fill, settled_pressure: Value, exponent: float
) -> Value | None:
    if chambers.negative_volume is None:
        return None
    if chambers.transfer is not None:
        volume = chambers.negative_volume + chambers.negative_area * chambers.transfer
        return settled_pressure * volume**exponent
    if fill.negative is None:
        raise Unphysical("a negative chamber with its own valve needs a set pressure")
    return fill.negative * fill.temperature_ratio * chambers.negative_volume**exponent
