"""The parts of a cut-away drawing as SVG shapes that say what they follow when the travel changes."""

from __future__ import annotations

from typing import Final

from forkwright.sheets.cutaway_style import CutawayStyle, mm
from forkwright.sheets.geometry import Part, Pose, moved_box
from forkwright.sheets.paints import PAINTS, RAMP, hatch_pattern, pressure_colour

COIL_TURNS: Final = 9


def definitions(identity: str) -> str:
    """Return the hatches and the tint that the parts refer to, their ids prefixed by `identity`."""
    patterns = [
        hatch_pattern(paint.hatch, paint.ink, f"{identity}-{name}")
        for name, paint in PAINTS.items()
        if paint.hatch != "none"
    ]
    stops = "".join(
        f'<stop offset="{mm(place)}" stop-color="{pressure_colour(place, 1.0)}"/>' for place, _ in RAMP
    )
    return f'<defs>{"".join(patterns)}<linearGradient id="{identity}-ramp">{stops}</linearGradient></defs>'


def drawn_part(part: Part, pose: Pose, pressures: dict[str, float], scale: float, style: CutawayStyle) -> str:
    """Return a part as SVG.

    Parameters
    ----------
    part, pose : Part, Pose
        What, and how far things have moved.
    pressures : dict
        Gauge pressure (Pa) by chamber role; a chamber without one stays white.
    scale : float
        Gauge pressure (Pa) at the dark end of the tint.
    style : CutawayStyle
        Prefix of the ids.
    """
    paint = PAINTS[part.material]
    fill = paint.fill
    if part.chamber in pressures:
        fill = pressure_colour(pressures[part.chamber], scale)
    tint = f' data-chamber="{part.chamber}"' if part.chamber else ""
    outline = f'fill="{fill}" stroke="{paint.line}" stroke-width="0.5"{tint}'
    drawn = _shape(part, pose, outline)
    if paint.hatch != "none":
        drawn += _shape(part, pose, f'fill="url(#{style.identity}-{part.material})" stroke="none"')
    return drawn


def _shape(part: Part, pose: Pose, look: str) -> str:
    if part.shape == "rect":
        return _rectangle(part, pose, look)
    if part.shape == "coil":
        return _coil(part, pose)
    shift = f'data-shift="{part.top}" transform="translate(0 {mm(pose.shift(part.top))})"'
    if part.shape == "circle":
        left, top, right, bottom = part.box()
        return (
            f'<circle cx="{mm((left + right) / 2)}" cy="{mm((top + bottom) / 2)}" '
            f'r="{mm((right - left) / 2)}" {shift} {look}/>'
        )
    points = " ".join(f"{mm(x)},{mm(y)}" for x, y in part.points)
    return f'<polygon points="{points}" {shift} {look}/>'


def _rectangle(part: Part, pose: Pose, look: str) -> str:
    left, top, right, bottom = moved_box(part, pose)
    return (
        f'<rect x="{mm(left)}" y="{mm(top)}" width="{mm(right - left)}" '
        f'height="{mm(max(bottom - top, 0.0))}" data-part="{part.key}" {edges(part)} {look}/>'
    )


def edges(part: Part) -> str:
    """Return, as attributes, what the upper and lower edge follow, and where they stand at full extension."""
    _, top, _, bottom = part.box()
    return f'data-top="{part.top}" data-bottom="{part.bottom}" data-y="{mm(top)}" data-b="{mm(bottom)}"'


def _coil(part: Part, pose: Pose) -> str:
    left, top, right, bottom = moved_box(part, pose)
    step = (bottom - top) / (2 * COIL_TURNS)
    points = " ".join(
        f"{mm(left if place % 2 == 0 else right)},{mm(top + place * step)}"
        for place in range(2 * COIL_TURNS + 1)
    )
    return (
        f'<polyline points="{points}" data-coil="{COIL_TURNS}" data-left="{mm(left)}" '
        f'data-right="{mm(right)}" {edges(part)} fill="none" stroke="#6d7c87" stroke-width="2.2" '
        f'stroke-linejoin="round"/>'
    )
