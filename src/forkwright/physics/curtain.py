"""The ring-shaped slit under a shim stack or a check plate, which opens with the pressure over it.

SI throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from forkwright.physics.orifice import Passage
from forkwright.physics.values import Array


@dataclass(frozen=True)
class LiftMap:
    """Opening height against the pressure that opens it, straight lines between knots.

    Parameters
    ----------
    pressure : ndarray, shape (k,)
        Knots (Pa), rising from 0.
    lift : ndarray, shape (k,)
        Opening (m) at the knots, never falling.
    slope_beyond : float
        Opening per pressure past the last knot (m/Pa); 0 for a plate on its stop.
    """

    pressure: Array
    lift: Array
    slope_beyond: float = 0.0

    def at(self, pressure: Array) -> tuple[Array, Array]:
        """Opening (m) and its slope (m/Pa) at pressures (Pa)."""
        place = np.maximum(np.searchsorted(self.pressure, pressure, side="right") - 1, 0)
        slope = self._slopes[place]
        return self.lift[place] + slope * (pressure - self.pressure[place]), slope

    @cached_property
    def cracking_pressure(self) -> float:
        """Highest pressure at which it is still shut (Pa)."""
        return float(self.pressure[np.flatnonzero(self.lift <= 0.0)[-1]]) if self.lift[0] <= 0.0 else 0.0

    @cached_property
    def _slopes(self) -> Array:
        return np.append(np.diff(self.lift) / np.diff(self.pressure), self.slope_beyond)


def sprung_plate(area: float, preload: float, rate: float, stop: float) -> LiftMap:
    """Lift map of a check plate held by a spring.

    Parameters
    ----------
    area : float
        On which the pressure acts (m2).
    preload : float
        Spring force while closed (N), not below zero.
    rate : float
        Spring rate (N/m), above zero.
    stop : float
        Greatest lift (m), above zero.

    Returns
    -------
    LiftMap
        Closed to ``preload / area``, then linear to the stop.

    Notes
    -----
    Source: balance of a plate on a linear spring (derived): ``lift = (p A - preload) / rate``.

    Examples
    --------
    >>> plate = sprung_plate(1e-4, 1.0, 1000.0, 1e-3)
    >>> plate.at(np.array([15000.0]))[0].round(6)
    array([0.0005])
    """
    opens, full = preload / area, (preload + rate * stop) / area
    if opens > 0.0:
        return LiftMap(np.array([0.0, opens, full]), np.array([0.0, 0.0, stop]))
    return LiftMap(np.array([0.0, full]), np.array([0.0, stop]))


@dataclass(frozen=True)
class Curtain:
    """The ring-shaped slit under the edge of a shim stack or plate.

    Parameters
    ----------
    unit_slit : Passage
        The slit (see `orifice.slit`) at a height of 1 m; both parts fall with the square of the height.
    lift : LiftMap
    """

    unit_slit: Passage
    lift: LiftMap

    def flow(self, drop: Array) -> tuple[Array, Array, Array]:
        """Flow (m3/s), its slope (m3/s/Pa) and the opening (m) at a drop over the curtain (Pa)."""
        height, opening_slope = self.lift.at(drop)
        square, linear = self.unit_slit.square, self.unit_slit.linear
        h2 = height * height
        root = np.sqrt(linear * linear + 4.0 * square * drop * h2)
        below = linear + root
        flow = 2.0 * drop * h2 / below
        # d flow: along the drop at fixed height, and along the height at fixed drop
        reach = np.maximum(root, 1e-300)
        slope = h2 / reach + 2.0 * height * opening_slope * drop / reach
        return flow, slope, height
