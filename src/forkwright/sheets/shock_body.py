"""A shock's body with its damper: what the air can or the coil is built round.

The body stands still at the upper eyelet. Its reservoir lies in line above it, or beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from forkwright.sheets.geometry import Part, rect, wall_pair
from forkwright.sheets.leg_air import SEAL_HEAD, seal_head
from forkwright.sheets.leg_damper import TUBE_WALL, damper_column, damper_column_length, reservoir_ratio
from forkwright.sheets.piggyback import PART_OF_COLUMN, piggyback
from forkwright.sheets.sizes import UnitSize

BARE_SHAFT = 10.0
BARE_BODY = 30.0


@dataclass(frozen=True)
class Body:
    """What the spring is built round (mm): its radius, where it ends above and below, the shaft's radius."""

    radius: float
    top: float
    end: float
    shaft: float
    piston_bottom: float
    behind: tuple[Part, ...]
    before: tuple[Part, ...]
    ratio: float
    notes: tuple[str, ...]

    @property
    def highest(self) -> float:
        """Where what stands on the axis begins (y, mm)."""
        parts = (*self.behind, *self.before)
        return min(part.box()[1] for part in parts if abs(sum(part.box()[::2])) < 1e-6)


@dataclass(frozen=True)
class Spring:
    """The spring's parts behind and before the body, and where the lower eyelet's piece begins (y, mm)."""

    behind: tuple[Part, ...]
    before: tuple[Part, ...]
    foot: float
    notes: tuple[str, ...] = ()


def body_radius(size: UnitSize) -> float:
    """Return the body's outer radius (mm): what the air can slides on, and no less than the damper needs."""
    wanted = size.air.shaft / 2 if size.air is not None else 0.0
    if size.damper is None:
        return wanted or BARE_BODY / 2
    return max(wanted, size.damper.tube_bore / 2 + TUBE_WALL)


def shock_body(size: UnitSize, least: float, outside: float) -> Body:
    """Build the body at full extension.

    Parameters
    ----------
    size : UnitSize
        Of a shock.
    least : float
        How long the body has to be below its top, so that the spring has room at full travel (mm).
    outside : float
        Radius of what stands round the body (mm).
    """
    radius = body_radius(size)
    damper = size.damper
    if damper is None:
        end = least + 20.0
        return Body(
            radius, 0.0, end, min(BARE_SHAFT / 2, radius - 2.5), end - SEAL_HEAD - 4.0,
            (rect("around-damper", "", "void", radius - TUBE_WALL, 0.0, end),),
            _shell(radius - TUBE_WALL, radius, 0.0, end), 0.0,
            ("The file gives no damper sizes: the body is drawn empty.",),
        )  # fmt: skip
    end = damper_column_length(damper, size.travel)
    column = damper_column(damper, size.travel, end)
    beside = damper.mount == "piggyback"
    kept = [part for part in column.parts if part.key[:-2] != "damper-tube"]
    if beside:
        kept = [part for part in kept if part.key not in PART_OF_COLUMN]
    valve = min(part.box()[1] for part in kept if part.key.startswith("base-valve"))
    top = min(valve if beside else column.top, end - least)
    above: tuple[Part, ...] = ()
    ratio = reservoir_ratio(damper)
    if beside:
        above, ratio = piggyback(damper, size.travel, valve, top, radius, outside), -ratio
    elif top < column.top:
        above = (rect("body-top", "", "alloy", radius, top, column.top),)
    notes = () if damper.mount else ("The file does not say how the reservoir is mounted: drawn in line.",)
    return Body(
        radius, top, end, damper.shaft / 2, column.piston_bottom, (*above, *kept),
        (*column.piston, *_shell(damper.tube_bore / 2, radius, valve, end)), ratio, notes,
    )  # fmt: skip


def round_the_body(part: Part) -> Part:
    """Return a part round the body, its name pointing at what is seen of it beside the body."""
    return replace(part, aim=0.04 if part.side == "left" else 0.96)


def _shell(inner: float, outer: float, top: float, end: float) -> tuple[Part, ...]:
    return (
        *wall_pair("body", "Damper body", "tube", inner, outer, top, end, side="left"),
        *seal_head(inner, end),
    )
