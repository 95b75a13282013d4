"""How each material of a drawing is painted: a colour of the house palette and a hatch that tells it apart.

Hatches mean what they mean on a workshop drawing: parts that the saw would cut are lined, neighbours the
other way. Air is tinted by its pressure, light to dark in one hue, so that it reads the same to every eye
and on a grey print.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Literal

from forkwright.sheets.palette import OKABE_ITO

Hatch = Literal["none", "rising", "falling", "cross", "dots", "waves", "level"]


@dataclass(frozen=True)
class Paint:
    """Fill colour, hatch over it, outline colour and hatch colour."""

    fill: str
    hatch: Hatch = "none"
    line: str = "#33414a"
    ink: str = "#33414a"


PAINTS: dict[str, Paint] = {
    "tube": Paint("#d5dade", "rising"),
    "casting": Paint("#b4bdc4", "falling"),
    "alloy": Paint("#e6e9ec", "cross"),
    "steel": Paint("#8b979f"),
    "seal": Paint(OKABE_ITO["vermillion"]),
    "bushing": Paint(OKABE_ITO["bluish green"], "level", ink="#003d2d"),
    "foam": Paint(OKABE_ITO["yellow"], "dots"),
    "bumper": Paint(OKABE_ITO["reddish purple"], "cross", ink="#5c2b4b"),
    "spacer": Paint(OKABE_ITO["reddish purple"], "dots", ink="#5c2b4b"),
    "floating": Paint(OKABE_ITO["yellow"], "rising", ink="#6b6400"),
    "oil": Paint(OKABE_ITO["orange"], "waves", line="#7a5300", ink="#7a5300"),
    "air": Paint("#ffffff", line="#5d7484"),
    "groove": Paint(OKABE_ITO["sky blue"]),
    "void": Paint("#f4f5f6", line="#c3cace"),
}

#: The blue ramp of gauge pressure: from paper white through the palette's blue towards black.
RAMP: tuple[tuple[float, tuple[int, int, int]], ...] = (
    (0.0, (247, 251, 255)),
    (0.5, (86, 160, 208)),
    (1.0, (0, 58, 97)),
)
BELOW_AMBIENT = "#ffffff"


def pressure_colour(gauge: float, full_scale: float) -> str:
    """Return the tint of air at a gauge pressure.

    Parameters
    ----------
    gauge : float
        Gauge pressure (Pa); at or below ambient the tint is white.
    full_scale : float
        The pressure at the dark end of the scale (Pa), above 0.

    Examples
    --------
    >>> pressure_colour(0.0, 1e6)
    '#f7fbff'
    >>> pressure_colour(1e6, 1e6)
    '#003a61'
    """
    if gauge < 0.0:
        return BELOW_AMBIENT
    share = min(gauge / full_scale, 1.0)
    for (low, start), (high, end) in itertools.pairwise(RAMP):
        if share <= high:
            part = (share - low) / (high - low)
            mixed = (round(a + part * (b - a)) for a, b in zip(start, end, strict=True))
            return "#" + "".join(f"{channel:02x}" for channel in mixed)
    return "#" + "".join(f"{channel:02x}" for channel in RAMP[-1][1])


def hatch_pattern(hatch: Hatch, ink: str, identity: str) -> str:
    """Return the SVG pattern of a hatch (drawing units are millimetres)."""
    strokes = {
        "rising": '<path d="M-1 5L5 -1M2 8L8 2" {s}/>',
        "falling": '<path d="M-1 1L5 7M2 -2L8 4" {s}/>',
        "cross": '<path d="M-1 5L5 -1M2 8L8 2M-1 1L5 7M2 -2L8 4" {s}/>',
        "level": '<path d="M0 1.5H6M0 4.5H6" {s}/>',
        "waves": '<path d="M0 2Q1.5 0.8 3 2T6 2M0 5Q1.5 3.8 3 5T6 5" fill="none" {s}/>',
        "dots": '<path d="M1.5 1.5h.01M4.5 4.5h.01" stroke="{i}" stroke-width="1.1" stroke-linecap="round"/>',
    }
    body = strokes[hatch].format(s=f'stroke="{ink}" stroke-width="0.45"', i=ink)
    return f'<pattern id="{identity}" width="6" height="6" patternUnits="userSpaceOnUse">{body}</pattern>'
