"""The damper leg's inside: reservoir with its floating piston, base valve, oil column, piston, seal head."""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.sheets.geometry import Motion, Part, Side, rect, wall_pair
from forkwright.sheets.leg_air import SEAL_HEAD
from forkwright.sheets.sizes import DamperSize

CAP = 12.0
TOP_CAP = 10.0
BASE_VALVE = 14.0
PISTON = 14.0
RESERVOIR_PISTON = 8.0
OIL_ABOVE_BASE = 12.0
LEAST_GAS = 22.0
MARGIN = 14.0  # oil left on either side of the piston at the ends of the travel
TUBE_WALL = 1.5


@dataclass(frozen=True)
class DamperColumn:
    """Parts inside the damper leg, the piston (painted after the shaft) and the heights others need (mm)."""

    parts: tuple[Part, ...]
    piston: tuple[Part, ...]
    piston_bottom: float
    top: float


def reservoir_ratio(damper: DamperSize) -> float:
    """Return the reservoir piston's movement per movement of the shaft: shaft area over reservoir area."""
    return (damper.shaft / damper.reservoir_bore) ** 2


def damper_column_length(damper: DamperSize, travel: float) -> float:
    """Return the length from the stanchion's upper end to below the seal head (mm)."""
    heights = _heights(damper, travel)
    return TOP_CAP + CAP + sum(heights) + RESERVOIR_PISTON + BASE_VALVE + PISTON + SEAL_HEAD


def damper_column(damper: DamperSize, travel: float, head_bottom: float) -> DamperColumn:
    """Build the inside of the damper leg at full extension, its seal head ending at `head_bottom` (y, mm)."""
    tube, reservoir = damper.tube_bore / 2, damper.reservoir_bore / 2
    gas, oil_above, compression, shaft_side = _heights(damper, travel)
    head_top = head_bottom - SEAL_HEAD
    piston_bottom = head_top - shaft_side
    piston_top = piston_bottom - PISTON
    base_bottom = piston_top - compression
    base_top = base_bottom - BASE_VALVE
    reservoir_piston_bottom = base_top - oil_above
    reservoir_piston_top = reservoir_piston_bottom - RESERVOIR_PISTON
    gas_top = reservoir_piston_top - gas

    parts = (
        rect("damper-cap", "Damper cap", "alloy", max(tube, reservoir), gas_top - CAP, gas_top, side="left"),
        *_backing(damper, gas_top, reservoir_piston_top),
        rect("reservoir-oil", "Reservoir oil", "oil", reservoir, reservoir_piston_bottom, base_top,
             moves=("reservoir", "still"), chamber="reservoir", side="left"),
        rect("reservoir-piston", *_separator(damper), reservoir,
             reservoir_piston_top, reservoir_piston_bottom, moves="reservoir", side="left"),
        rect("compression-oil", "Oil, compression side", "oil", tube, base_bottom, piston_top,
             moves=("still", "lowers"), chamber="compression", side="left"),
        rect("shaft-oil", "Oil, shaft side", "oil", tube, piston_bottom, head_top,
             moves=("lowers", "still"), chamber="shaft_side", side="left"),
        *_ported("base-valve", "Base valve", tube, base_top, base_bottom),
        *wall_pair("reservoir-wall", "", "tube", reservoir, reservoir + TUBE_WALL, gas_top - CAP, base_top),
        *wall_pair("damper-tube", "Damper tube", "tube", tube, tube + TUBE_WALL, base_top, head_bottom,
                   side="left"),
    )  # fmt: skip
    piston = tuple(_ported("damper-piston", "Damper piston", tube, piston_top, piston_bottom, moving=True))
    return DamperColumn(parts, piston, piston_bottom, gas_top - CAP)


def _heights(damper: DamperSize, travel: float) -> tuple[float, float, float, float]:
    """Heights of gas, reservoir oil, oil above and oil below the piston at full extension (mm).

    Each is the measured volume over its area, and never less than the travel needs.
    """
    tube = math.pi / 4 * damper.tube_bore**2
    ring = tube - math.pi / 4 * damper.shaft**2
    reservoir = math.pi / 4 * damper.reservoir_bore**2
    swept = reservoir_ratio(damper) * travel
    gas = max(damper.gas_volume / reservoir, swept + 4.0) if damper.gas_volume else LEAST_GAS + swept
    return (
        gas,
        damper.reservoir_oil / reservoir or OIL_ABOVE_BASE,
        max(damper.compression_volume / tube, travel + 2.0) if damper.compression_volume else travel + MARGIN,
        damper.shaft_volume / ring or MARGIN,
    )


def _separator(damper: DamperSize) -> tuple[str, str]:
    """Name and material of what parts the reservoir's oil from its backing."""
    bladder = damper.reservoir_backing == "bladder"
    return ("Bladder wall", "bumper") if bladder else ("Reservoir piston", "floating")


def _backing(damper: DamperSize, top: float, bottom: float) -> list[Part]:
    """What pushes on the reservoir's oil: gas behind a piston, a coil, or a bladder."""
    radius = damper.reservoir_bore / 2
    if damper.reservoir_backing == "spring":
        corners = ((-radius * 0.85, top), (radius * 0.85, bottom))
        return [
            rect("reservoir-space", "", "void", radius, top, bottom, moves=("still", "reservoir")),
            Part(
                "reservoir-coil", "Reservoir coil", "steel", "coil", corners, "still", "reservoir", "", "left"
            ),
        ]
    name = "Bladder gas" if damper.reservoir_backing == "bladder" else "Reservoir gas"
    return [
        rect("reservoir-gas", name, "air", radius, top, bottom,
             moves=("still", "reservoir"), chamber="reservoir", side="left")
    ]  # fmt: skip


def _ported(
    key: str, name: str, radius: float, top: float, bottom: float, *, moving: bool = False
) -> list[Part]:
    """A valve body with two ports through it and a stack of shims on its face."""
    moves: Motion = "lowers" if moving else "still"
    side: Side = "right" if moving else "left"
    thickness = 2.0
    port = max(radius * 0.14, 0.8)
    place = radius * 0.6
    body = rect(key, name, "alloy", radius, top + thickness, bottom, moves=moves, side=side)
    holes = [
        Part(f"{key}-port-{mark}", "", "oil", "rect",
             ((sign * place - port, top + thickness), (sign * place + port, bottom)), moves, moves)
        for mark, sign in (("l", -1.0), ("r", 1.0))
    ]  # fmt: skip
    shims = rect(f"{key}-shims", "", "steel", radius * 0.85, top, top + thickness, moves=moves)
    return [body, *holes, shims]
