"""A shock's reservoir beside its body: oil from the base valve through a bridge, a piston, gas below it."""

from __future__ import annotations

import math

from forkwright.sheets.geometry import Part, rect, shifted, wall_pair
from forkwright.sheets.leg_damper import RESERVOIR_PISTON, TUBE_WALL, reservoir_ratio
from forkwright.sheets.sizes import DamperSize

#: What the damper's column has of a reservoir in line, and a reservoir beside it replaces.
PART_OF_COLUMN = frozenset(
    {
        "damper-cap", "reservoir-space", "reservoir-coil", "reservoir-gas", "reservoir-oil",
        "reservoir-piston", "reservoir-wall-l", "reservoir-wall-r",
    }
)  # fmt: skip

BRIDGE = 18.0
PASSAGE = 2.5
CAP = 8.0
APART = 6.0
LEAST_GAS = 22.0
LEAST_OIL = 12.0


def piggyback(
    damper: DamperSize, travel: float, valve: float, top: float, body: float, outside: float
) -> tuple[Part, ...]:
    """Return bridge, passage and reservoir at full extension.

    Parameters
    ----------
    damper : DamperSize
    travel : float
        Full stroke (mm).
    valve, top : float
        Where the base valve's body and the shock's body begin (y, mm).
    body, outside : float
        Radius of the body, and of what moves round it (mm).
    """
    radius = damper.reservoir_bore / 2
    across = -(outside + APART + radius + TUBE_WALL)
    bridge = top - BRIDGE
    level = bridge + BRIDGE / 2
    oil, gas = _heights(damper, travel)
    piston = top + oil
    bottom = piston + RESERVOIR_PISTON + gas
    backing = "Bladder gas" if damper.reservoir_backing == "bladder" else "Reservoir gas"
    beside = (
        rect("reservoir-oil", "Reservoir oil", "oil", radius, top, piston, moves=("still", "reservoir"),
             chamber="reservoir", side="left"),
        rect("reservoir-gas", backing, "air", radius, piston + RESERVOIR_PISTON, bottom,
             moves=("reservoir", "still"), chamber="reservoir", side="left"),
        rect("reservoir-piston", "Reservoir piston", "floating", radius, piston, piston + RESERVOIR_PISTON,
             moves="reservoir", side="left"),
        rect("damper-cap", "Reservoir cap", "alloy", radius, bottom, bottom + CAP, side="left"),
        *wall_pair("reservoir-wall", "", "tube", radius, radius + TUBE_WALL, top, bottom + CAP),
    )  # fmt: skip
    far = across - radius - TUBE_WALL
    return (
        rect("body-top", "", "alloy", body, bridge, top),
        Part("bridge", "Bridge", "alloy", "rect", ((far, bridge), (-body, top)), side="left"),
        _passage("passage", across - PASSAGE, PASSAGE, level - PASSAGE, level + PASSAGE),
        _passage("passage-down", -PASSAGE, PASSAGE, level, top),
        _passage("passage-in", across - PASSAGE, across + PASSAGE, level, top),
        rect("above-valve", "", "oil", damper.tube_bore / 2, top, valve, chamber="reservoir"),
        *wall_pair("above-valve-wall", "", "tube", damper.tube_bore / 2, body, top, valve),
        *shifted(beside, across),
    )


def _passage(key: str, left: float, right: float, top: float, bottom: float) -> Part:
    return Part(key, "", "oil", "rect", ((left, top), (right, bottom)), chamber="reservoir")


def _heights(damper: DamperSize, travel: float) -> tuple[float, float]:
    """Heights of oil and gas at full extension (mm): the measured volume over the area, with room to move."""
    area = math.pi / 4 * damper.reservoir_bore**2
    swept = reservoir_ratio(damper) * travel
    gas = max(damper.gas_volume / area, swept + 4.0) if damper.gas_volume else LEAST_GAS + swept
    return damper.reservoir_oil / area or LEAST_OIL, gas
