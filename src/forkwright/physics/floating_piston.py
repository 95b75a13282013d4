"""A piston that floats between the positive chamber and a secondary chamber set from outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array, Value


@dataclass(frozen=True, slots=True)
class FloatingPiston:
    """Geometry of a floating piston and its secondary chamber, SI.

    Parameters
    ----------
    area : float
        Side that faces the positive chamber, m2.
    secondary_area : float
        Side that faces the secondary chamber, m2; where the two differ, the step faces the ambient air.
    volume : float
        Secondary chamber with the piston on its stop, m3.
    stroke : float
        Furthest movement, m.
    friction : float
        Coulomb friction of its seals, N.
    """

    area: Value
    secondary_area: Value
    volume: Value
    stroke: Value
    friction: Value = 0.0


@dataclass(frozen=True, slots=True)
class PistonState:
    """Where the piston is: pressures (Pa), movement (m), positive volume (m3), stiffness share.

    `softening` is by how much the free piston divides the positive chamber's stiffness (1: not at all).
    """

    pressure: Array
    movement: Array
    positive_volume: Array
    softening: Array
    secondary: Array


def settle(piston: FloatingPiston, positive_constant: Value, secondary_constant: Value, open_volume: Array,
           exponent: float, ambient: float, direction: float = 0.0) -> PistonState:  # fmt: skip
    """Return the piston's state where both sides balance, or where it rests on one of its stops.

    Parameters
    ----------
    piston : FloatingPiston
    positive_constant, secondary_constant : float or array
        ``p V**k`` of the two gases, SI.
    open_volume : array
        Positive chamber with the piston on its stop, m3.
    exponent : float
        Polytropic exponent k of both gases.
    ambient : float
        Pa.
    direction : float
        Sign of the movement, no unit: +1 while the piston is pushed into the secondary chamber, -1 on the way
        back, 0 without friction.

    Returns
    -------
    PistonState

    Notes
    -----
    Source: force balance on the piston, ``(p - p_amb) A_f = (p_2 - p_amb) A_f2 + direction * friction``
    (derived), with each gas polytropic. Equal areas without friction have a closed form:
    both gases then share ``V_+ + V_2`` at one pressure.
    """
    inverse = 1.0 / exponent
    positive_root, secondary_root = positive_constant**inverse, secondary_constant**inverse
    if direction == 0.0 and piston.area is piston.secondary_area:
        free = (positive_root + secondary_root) / (open_volume + piston.volume)
        movement = (piston.volume - secondary_root / free) / piston.area
    else:
        movement = _balance(
            piston, positive_constant, secondary_constant, open_volume, exponent, ambient, direction
        )
    movement = np.minimum(np.maximum(movement, 0.0), piston.stroke)
    volume = open_volume + piston.area * movement
    pressure = positive_root / volume if exponent == 1.0 else (positive_root / volume) ** exponent
    secondary_volume = piston.volume - piston.secondary_area * movement
    secondary_pressure = (secondary_root / secondary_volume) ** exponent
    is_free = (movement > 0.0) & (movement < piston.stroke)
    ratio = (piston.area / piston.secondary_area) ** 2
    softening = 1.0 + is_free * (ratio * pressure * secondary_volume / (secondary_pressure * volume))
    return PistonState(pressure, movement, volume, softening, secondary_pressure)


def _balance(piston: FloatingPiston, positive_constant: Value, secondary_constant: Value, open_volume: Array,
             exponent: float, ambient: float, direction: float) -> Array:  # fmt: skip
    """Solve the force balance for the movement; the imbalance falls steadily with it, so one root at most."""

    def imbalance(movement: Array) -> Array:
        positive = positive_constant / (open_volume + piston.area * movement) ** exponent
        secondary = secondary_constant / (piston.volume - piston.secondary_area * movement) ** exponent
        push: Array = (
            (positive - ambient) * piston.area
            - (secondary - ambient) * piston.secondary_area
            - direction * piston.friction
        )
        return push

    low = np.zeros(
        np.broadcast_shapes(np.shape(open_volume), np.shape(piston.volume), np.shape(positive_constant))
    )
    high = low + piston.stroke
    for _ in range(52):  # bisection to the last bit of the stroke
        middle = 0.5 * (low + high)
        pushed = imbalance(middle) > 0.0
        low = np.where(pushed, middle, low)
        high = np.where(pushed, high, middle)
    at_end = imbalance(high) > 0.0
    return np.where(
        at_end & (high >= piston.stroke * (1 - 1e-12)), piston.stroke, np.where(low > 0.0, middle, 0.0)
    )
