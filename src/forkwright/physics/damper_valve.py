"""One damper valve: a bleed in parallel with a port in series with a curtain that shims or a plate open.

The drop over the curtain alone decides how far it opens, and every flow in the valve grows with it; so one
monotone equation in that drop gives the whole valve. SI throughout; flow and drop are magnitudes, in the
valve's own direction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.physics.curtain import Curtain
from forkwright.physics.errors import Unphysical
from forkwright.physics.orifice import Passage
from forkwright.physics.values import Array

HIGHEST_DROP = 1e10
"""No damper holds 100 000 bar: a flow that needs more has no way through (Pa)."""


@dataclass(frozen=True)
class ValveState:
    """What one valve does at given flows: arrays of one shape.

    Parameters
    ----------
    drop : ndarray
        Pressure drop over the whole valve (Pa).
    curtain_drop : ndarray
        Over the shims or plate alone (Pa); 0 where there are none.
    lift : ndarray
        Opening (m).
    bleed_flow, leak_flow, main_flow : ndarray
        Through the bleeds, the leakage gaps, and the port with its curtain (m3/s).
    """

    drop: Array
    curtain_drop: Array
    lift: Array
    bleed_flow: Array
    leak_flow: Array
    main_flow: Array


@dataclass(frozen=True)
class Valve:
    """A valve in one direction of flow.

    Parameters
    ----------
    name : str
        For messages, for example "base valve".
    bleeds : tuple of Passage
        Always open, side by side.
    leak : float
        Conductance of the laminar gaps beside them (m3/s/Pa).
    port : Passage or None
        Leads to the curtain, or stands alone when there is no curtain.
    curtain : Curtain or None
    """

    name: str
    bleeds: tuple[Passage, ...] = ()
    leak: float = 0.0
    port: Passage | None = None
    curtain: Curtain | None = None

    def state(self, flow: Array) -> ValveState:
        """Solve the valve for flows (m3/s, not negative, any shape).

        Raises
        ------
        Unphysical
            If there is no way through for one of the flows.

        Notes
        -----
        Newton's method kept inside a bracket, on ``flow(curtain drop) = asked``, which only grows.
        """
        asked = np.asarray(flow, float).ravel()
        free = solve_rising(self._flow_of, self._grid(), asked, self.name)
        total = self._parts(free)
        shape = np.shape(flow)
        return ValveState(*(np.reshape(part, shape) for part in total))

    def flow_at_drop(self, drop: Array) -> Array:
        """Flow (m3/s) at drops over the whole valve (Pa, not negative)."""
        asked = np.asarray(drop, float)
        flow = self.leak * asked
        for bleed in self.bleeds:
            flow = flow + bleed.flow(asked)
        if self.port is None:
            return flow
        if self.curtain is None:
            return flow + self.port.flow(asked)
        return flow + self.curtain.flow(self._over_curtain(asked))[0]

    def lift_at_drop(self, drop: Array) -> Array:
        """Opening (m) of the shims or plate at drops over the whole valve (Pa, not negative)."""
        asked = np.asarray(drop, float)
        if self.curtain is None:
            return np.zeros_like(asked)
        return self.curtain.lift.at(self._over_curtain(asked))[0]

    def _over_curtain(self, drop: Array) -> Array:
        """The share of a drop over the whole valve that is left for the curtain (Pa)."""
        return solve_rising(self._drop_of, self._grid(), drop.ravel(), self.name).reshape(drop.shape)

    def _grid(self) -> Array:
        crack = self.curtain.lift.cracking_pressure if self.curtain is not None else 0.0
        return _GRID if crack == 0.0 else np.sort(np.append(_GRID, crack))

    def _main(self, free: Array) -> tuple[Array, Array, Array, Array]:
        """Main flow, its slope, the whole drop and its slope, at the free drop (Pa)."""
        if self.port is None:
            nothing = np.zeros_like(free)
            return nothing, nothing, free, np.ones_like(free)
        if self.curtain is None:
            slope = 1.0 / np.maximum(self.port.root(free), 1e-300)
            return self.port.flow(free), slope, free, np.ones_like(free)
        main, slope, _ = self.curtain.flow(free)
        drop = free + self.port.drop(main)
        return main, slope, drop, 1.0 + (2.0 * self.port.square * main + self.port.linear) * slope

    def _flow_of(self, free: Array) -> tuple[Array, Array]:
        main, main_slope, drop, drop_slope = self._main(free)
        total, slope = main + self.leak * drop, main_slope + self.leak * drop_slope
        for bleed in self.bleeds:
            total = total + bleed.flow(drop)
            slope = slope + drop_slope / np.maximum(bleed.root(drop), 1e-300)
        return total, slope

    def _drop_of(self, free: Array) -> tuple[Array, Array]:
        _, _, drop, slope = self._main(free)
        return drop, slope

    def _parts(self, free: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        main, _, drop, _ = self._main(free)
        bleed = np.zeros_like(free)
        for passage in self.bleeds:
            bleed = bleed + passage.flow(drop)
        if self.curtain is None:
            return drop, np.zeros_like(free), np.zeros_like(free), bleed, self.leak * drop, main
        return drop, free, self.curtain.lift.at(free)[0], bleed, self.leak * drop, main


def solve_rising(
    function: Callable[[Array], tuple[Array, Array]], grid: Array, asked: Array, name: str
) -> Array:
    """Solve ``function(x) = asked`` for functions that rise from 0 over `grid`; see `Valve.state`.

    Parameters
    ----------
    function : callable
        Gives value and slope at an array of places.
    grid : array
        Places that bracket the answer, rising from 0; any unit.
    asked : array
        Values to reach, not below zero; the same unit as those of `function`.
    name : str
        The valve, for the error.

    Returns
    -------
    array
        The place of each value asked for, in the unit of `grid`.

    Notes
    -----
    Source: bracketed Newton steps with bisection where one leaves the bracket (any text on numerical
    methods).
    """
    values = function(grid)[0]
    if asked.size and float(np.max(asked)) > values[-1]:
        raise Unphysical(f"the {name} is closed: there is no path for the oil at this flow")
    place = np.clip(np.searchsorted(values, asked, side="left"), 1, grid.size - 1)
    low, high = grid[place - 1], grid[place]
    rise = values[place] - values[place - 1]
    share = np.where(rise > 0.0, (asked - values[place - 1]) / np.where(rise > 0.0, rise, 1.0), 1.0)
    x = low + share * (high - low)
    tolerance = 1e-12 * np.maximum(asked, 1e-30)
    for _ in range(60):
        value, slope = function(x)
        error = value - asked
        high, low = np.where(error > 0.0, x, high), np.where(error > 0.0, low, x)
        step = x - error / np.where(slope > 0.0, slope, np.inf)
        inside = (step >= low) & (step <= high)
        nearer = np.where(inside, step, 0.5 * (low + high))
        settled = (np.abs(error) <= tolerance) | (np.abs(nearer - x) <= 1e-13 * x)
        x = np.where(settled, x, nearer)
        if settled.all():
            break
    return np.where(asked > 0.0, x, 0.0)


_GRID = np.concatenate(([0.0], np.geomspace(1e-3, HIGHEST_DROP, 79)))
