"""The names beside a cut-away drawing, with leaders and pressures read out, and the scales below it."""

from __future__ import annotations

from html import escape

from forkwright.sheets.cutaway_parts import edges
from forkwright.sheets.cutaway_style import FOOT, GAP, LINE, TEXT, CutawayStyle, mm
from forkwright.sheets.geometry import Layout, Part, Pose, moved_box
from forkwright.sheets.labels import spread
from forkwright.units import show, to_unit, unit_label


def names(layout: Layout, pose: Pose, pressures: dict[str, float], style: CutawayStyle) -> str:
    """Return the two columns of names: what stands still on the left, what moves on the right.

    Parameters
    ----------
    layout, pose : Layout, Pose
        The drawing.
    pressures : dict
        Gauge pressure (Pa) by chamber role, read out where there is one.
    style : CutawayStyle
        Units.
    """
    left, _, right, _ = layout.box()
    still = _column(layout, "left", left - GAP, pose, pressures, style)
    moving = _column(layout, "right", right + GAP, Pose(), pressures, style)
    lift = mm(pose.shift("lowers"))
    return (
        f'<g class="names">{still}</g>'
        f'<g class="names" data-shift="lowers" transform="translate(0 {lift})">{moving}</g>'
    )


def _column(
    layout: Layout, side: str, edge: float, pose: Pose, pressures: dict[str, float], style: CutawayStyle
) -> str:
    """One column of names with their leaders; where they stand is settled at full extension."""
    named = [part for part in layout.parts if part.side == side and part.name]
    named.sort(key=lambda part: middle_of(part, Pose()))
    heights = [LINE * (2 if reads(part, pressures) else 1) for part in named]
    places = spread([middle_of(part, Pose()) for part in named], heights)
    return "".join(
        _name(part, place, side, edge, pose, pressures, style)
        for part, place in zip(named, places, strict=True)
    )


def _name(
    part: Part,
    place: float,
    side: str,
    edge: float,
    pose: Pose,
    pressures: dict[str, float],
    style: CutawayStyle,
) -> str:
    box = part.box()
    share = part.aim if part.aim is not None else 0.3 if side == "left" else 0.7
    target = box[0] + share * (box[2] - box[0])
    towards = 1.0 if side == "left" else -1.0
    anchor = middle_of(part, pose)
    read_out = reads(part, pressures)
    first = place + TEXT * 0.33 - (LINE / 2 if read_out else 0.0)
    lines = f'<tspan x="{mm(edge)}" y="{mm(first)}">{escape(part.name)}</tspan>'
    if read_out:
        value = escape(show(pressures[part.chamber], "pressure", style.units))
        lines += (
            f'<tspan x="{mm(edge)}" y="{mm(first + LINE)}" font-weight="700" data-reads="{part.chamber}">'
            f"{value}</tspan>"
        )
    follow = edges(part) if side == "left" else ""
    start, knee = edge + towards * 3.0, edge + towards * 11.0
    return (
        f'<polyline points="{mm(start)},{mm(place)} {mm(knee)},{mm(anchor)} {mm(target)},{mm(anchor)}" '
        f'data-leader="{mm(start)} {mm(place)} {mm(knee)} {mm(target)}" {follow} fill="none" '
        f'stroke="currentColor" stroke-width="0.6"/>'
        f'<text text-anchor="{"end" if side == "left" else "start"}" fill="currentColor">{lines}</text>'
    )


def middle_of(part: Part, pose: Pose) -> float:
    """Return the height of a part's middle in a pose (y, mm)."""
    _, top, _, bottom = moved_box(part, pose)
    return (top + bottom) / 2


def reads(part: Part, pressures: dict[str, float]) -> bool:
    """Return whether a part's pressure is known (`pressures`: gauge Pa by chamber role)."""
    return bool(part.chamber) and part.chamber in pressures


def scales(
    scale: float, frame: tuple[float, float, float, float], style: CutawayStyle, *, tinted: bool
) -> str:
    """Return what stands below the drawing: the tint of gauge pressure, and a bar of 50 mm or 2 in.

    Parameters
    ----------
    scale : float
        Gauge pressure (Pa) at the dark end of the tint.
    frame : tuple of float
        Left, top, width and height of the picture (mm).
    style : CutawayStyle
        Units.
    tinted : bool
        Whether any chamber bears a tint.
    """
    left, top, width, height = frame
    middle, base = left + width / 2, top + height - FOOT + 10.0
    long, named = (50.8, "2 in") if style.units.length == "in" else (50.0, "50 mm")
    return (
        f'<g class="scales">{_ramp(scale, middle, base, width, style) if tinted else ""}'
        f'<path d="M{mm(middle - long / 2)} {mm(base + 34)}v-6m0 3h{mm(long)}m0 -3v6" fill="none" '
        f'stroke="currentColor" stroke-width="0.8"/>'
        f'<text x="{mm(middle)}" y="{mm(base + 45)}" text-anchor="middle" font-size="10" '
        f'fill="currentColor">{named}, both directions to scale</text></g>'
    )


def _ramp(scale: float, middle: float, base: float, width: float, style: CutawayStyle) -> str:
    bar = min(width - 24.0, 220.0)
    start = middle - bar / 2
    ticks = "".join(
        f'<text x="{mm(start + share * bar)}" y="{mm(base + 21)}" text-anchor="middle" font-size="10" '
        f'fill="currentColor">{to_unit(share * scale, "pressure", style.units):.4g}</text>'
        for share in (0.0, 0.5, 1.0)
    )
    return (
        f'<rect x="{mm(start)}" y="{mm(base)}" width="{mm(bar)}" height="10" '
        f'fill="url(#{style.identity}-ramp)" stroke="#5d7484" stroke-width="0.5"/>{ticks}'
        f'<text x="{mm(middle)}" y="{mm(base - 3)}" text-anchor="middle" font-size="10" fill="currentColor">'
        f"gauge pressure, {escape(unit_label('pressure', style.units))}</text>"
    )
