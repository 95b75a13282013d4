"""The air-spring leg's inside: top cap, spacers, positive chamber, piston, negative chamber, seal head.

Chamber lengths follow from the measured volumes: a chamber is drawn as the straight cylinder of the measured
bore that holds the measured volume, whatever corners the real one has.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.sheets.geometry import Motion, Part, Side, rect, wall_pair
from forkwright.sheets.sizes import AirSize

TOP_CAP = 14.0
PISTON = 12.0
FLOATING_PISTON = 8.0
STOP_RING = 3.0
SEAL_HEAD = 14.0
SPACER_WIDTH = 0.86  # of the bore, unless a full stack at full travel needs more room


@dataclass(frozen=True)
class AirColumn:
    """The parts inside the stanchion, and the heights others need (mm)."""

    parts: tuple[Part, ...]
    seal_head_bottom: float
    piston_bottom: float


def air_column_length(air: AirSize) -> float:
    """Return the length from the stanchion's upper end to below the seal head (mm)."""
    secondary = _secondary_height(air)
    return TOP_CAP + secondary + _positive_height(air) + PISTON + negative_height(air) + SEAL_HEAD


def air_column(air: AirSize, travel: float, outer: float) -> AirColumn:
    """Build the inside of the air-spring leg at full extension.

    Parameters
    ----------
    air : AirSize
        Measured sizes and the number of spacers fitted.
    travel : float
        Full travel (mm).
    outer : float
        Stanchion outer diameter (mm), for the transfer port in its wall.

    Returns
    -------
    AirColumn
        Parts in painting order; y = 0 is the stanchion's upper end.
    """
    radius = air.bore / 2
    parts = _top_cap(radius)
    ceiling = TOP_CAP + _secondary_height(air)
    piston_top = ceiling + _positive_height(air)
    piston_bottom = piston_top + PISTON
    seal_head = piston_bottom + negative_height(air)

    parts.append(
        rect("positive", "Positive chamber", "air", radius, ceiling, piston_top,
             moves=("still", "lowers"), chamber="positive", side="left")
    )  # fmt: skip
    if air.floating_bore:
        parts.extend(_secondary(air, TOP_CAP, ceiling))
    parts.extend(spacer_stack(air, travel, ceiling))
    space = ("", "void", "") if air.negative_coil else ("Negative chamber", "air", "negative")
    parts.append(
        rect("negative", space[0], space[1], radius, piston_bottom, seal_head,
             moves=("lowers", "still"), chamber=space[2], side="left")
    )  # fmt: skip
    if air.negative_coil:
        corners = ((-radius * 0.85, piston_bottom), (radius * 0.85, seal_head))
        parts.append(
            Part("negative-coil", "Negative coil", "steel", "coil", corners, "lowers", "still", "", "left")
        )
    parts.extend(_transfer_port(air, piston_top + PISTON / 2, outer))
    return AirColumn(tuple(parts), seal_head + SEAL_HEAD, piston_bottom)


def air_piston(air: AirSize, piston_bottom: float) -> list[Part]:
    """Return the piston and its seal; painted after the shaft."""
    radius, top = air.bore / 2, piston_bottom - PISTON
    middle = top + PISTON / 2
    return [
        rect("piston", "Air piston", "alloy", radius - 0.6, top, piston_bottom, moves="lowers", side="right"),
        rect("piston-seal", "", "seal", radius, middle - 1.5, middle + 1.5, moves="lowers"),
    ]


def seal_head(radius: float, bottom: float, key: str = "seal-head", height: float = SEAL_HEAD) -> list[Part]:
    """Return the head that closes the tube's lower end round the shaft, with its seal."""
    top = bottom - height
    return [
        rect(key, "Seal head", "alloy", radius, top, bottom, side="left"),
        rect(f"{key}-seal", "", "seal", radius, top + 2.0, top + 4.5),
    ]


def negative_height(air: AirSize) -> float:
    """Return the negative chamber's length or its coil's (mm): whichever is given, the longer of both."""
    return max(air.negative_volume / air.negative_area, air.negative_coil)


def spacer_stack(air: AirSize, travel: float, base: float, *, upwards: bool = False) -> list[Part]:
    """Return the spacers, each of exactly the measured volume of one.

    They hang from a ceiling at `base` (y, mm) that stands still, or with `upwards` stand on a floor there
    that moves with the lower end. For `travel` (mm) see `spacer_width`.
    """
    if not air.spacers or not air.spacer_volume:
        return []
    width = spacer_width(air, travel)
    height = air.spacer_volume / (math.pi / 4 * width**2)
    words = f"{air.spacers} volume spacer" + ("s" if air.spacers > 1 else "")
    moves: Motion = "lowers" if upwards else "still"
    side: Side = "right" if upwards else "left"
    starts = [base + height * (-place - 1 if upwards else place) for place in range(air.spacers)]
    return [
        rect(f"spacer-{place}", "" if place else words, "spacer", width / 2, start, start + height,
             moves=moves, side="none" if place else side)
        for place, start in enumerate(starts)
    ]  # fmt: skip


def _positive_height(air: AirSize) -> float:
    return air.positive_volume / air.area


def _secondary_height(air: AirSize) -> float:
    if not air.floating_bore:
        return 0.0
    area = math.pi / 4 * air.secondary_bore**2
    return air.floating_volume / area + FLOATING_PISTON + STOP_RING


def _top_cap(radius: float) -> list[Part]:
    return [
        rect("valve", "Valve", "alloy", 4.0, -16.0, -6.0, side="left"),
        rect("top-cap", "Top cap", "alloy", radius, -6.0, TOP_CAP, side="left"),
        rect("top-cap-seal", "", "seal", radius, TOP_CAP - 5.0, TOP_CAP - 2.5),
    ]


def _secondary(air: AirSize, top: float, ceiling: float) -> list[Part]:
    """The secondary chamber: a narrower tube above the positive one, its piston resting on a stop ring."""
    bore, radius, narrow = air.floating_bore / 2, air.bore / 2, air.secondary_bore / 2
    piston_bottom = ceiling - STOP_RING
    piston_top = piston_bottom - FLOATING_PISTON
    return [
        rect("below-floating", "", "air", bore, piston_bottom, ceiling,
             moves=("floating", "still"), chamber="positive"),
        rect("secondary", "Secondary chamber", "air", narrow, top, piston_top,
             moves=("still", "floating"), chamber="secondary", side="left"),
        *wall_pair("secondary-wall", "", "alloy", max(bore, narrow), radius, top, ceiling),
        rect("floating-piston", "Floating piston", "floating", bore - 0.4, piston_top, piston_bottom,
             moves="floating", side="left"),
        rect("floating-seal", "", "seal", bore, piston_top + 2.75, piston_top + 5.25, moves="floating"),
        *wall_pair("floating-stop", "", "alloy", bore - 2.5, bore, piston_bottom, ceiling),
    ]  # fmt: skip


def spacer_width(air: AirSize, travel: float) -> float:
    """Return the diameter (mm) spacers are drawn with: wide enough that a full stack clears the piston."""
    count = max(air.spacers, air.spacer_limit)
    room = (_positive_height(air) - travel) * air.area
    share = count * air.spacer_volume / room if room > 0 else 1.0
    return air.bore * math.sqrt(min(max(SPACER_WIDTH**2, share), 1.0))


def _transfer_port(air: AirSize, seal: float, outer: float) -> list[Part]:
    """A groove in the wall that the piston's seal bridges at the transfer point and at no other travel."""
    if air.transfer is None:
        return []
    middle = seal - air.transfer
    half = max(min(6.0, 0.8 * air.transfer), 1.0)
    depth = 0.6 * (outer - air.bore) / 2
    left = -air.bore / 2
    corners = ((left - depth, middle - half), (left, middle + half))
    return [Part("transfer", "Transfer port", "groove", "rect", corners, side="left")]
