"""The to-scale cut-away drawing as SVG, at any travel.

One drawing unit is one millimetre in both directions. Everything that can move carries in its attributes
what it follows and where it stands at full extension, so a page's script (`assets/cutaway.js`) shows another
travel by shifting edges alone: the drawing itself is written here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape
from typing import Final

from forkwright.sheets.geometry import Layout, Part, Pose, moved_box
from forkwright.sheets.labels import spread
from forkwright.sheets.paints import PAINTS, RAMP, hatch_pattern, pressure_colour
from forkwright.units import UnitChoice, show, to_unit, unit_label

COLUMN: Final = 158.0  # room for names on each side
GAP: Final = 16.0  # between drawing and names
TEXT: Final = 12.0
LINE: Final = 14.0
FOOT: Final = 62.0  # room for the two scales below
COIL_TURNS: Final = 9


@dataclass(frozen=True)
class CutawayStyle:
    """How a drawing is written.

    Attributes
    ----------
    identity : str
        Prefix of the ids inside; must differ between drawings on one page.
    labels, scales : bool
        Whether names, and the pressure and length scales below, are drawn.
    units : UnitChoice
        For the pressures.
    least_size : tuple of float
        Least width and height of the whole picture (mm): give drawings that stand side by side the same
        (see `picture_size`), and they come out at one scale.
    """

    identity: str = "cutaway"
    labels: bool = True
    scales: bool = True
    units: UnitChoice = field(default_factory=UnitChoice)
    least_size: tuple[float, float] = (0.0, 0.0)


def draw_cutaway(
    layout: Layout,
    pose: Pose | None = None,
    pressures: Mapping[str, float] | None = None,
    full_scale: float | None = None,
    title: str = "",
    style: CutawayStyle | None = None,
) -> str:
    """Draw a layout in a pose.

    Parameters
    ----------
    layout : Layout
        The parts, from `legs.spring_leg`, `legs.damper_leg` or `legs.chassis`.
    pose : Pose, optional
        How far things have moved (mm); full extension by default.
    pressures : mapping of str to float, optional
        Gauge pressure (Pa) by chamber role; chambers without one stay white.
    full_scale : float, optional
        Pressure (Pa) at the dark end of the scale; pass the same for drawings that are compared. By default
        the next round number above the highest pressure.
    title : str
        The drawing's name, read out by screen readers; any text is safe.
    style : CutawayStyle, optional
        Names, scales, units and ids.

    Returns
    -------
    str
        One `<svg>` element.
    """
    pose, style, known = pose or Pose(), style or CutawayStyle(), dict(pressures or {})
    scale = full_scale or round_scale(max(known.values(), default=0.0), style.units)
    frame = _frame(layout, style)
    body = [
        _defs(style.identity),
        "".join(_part(part, pose, known, scale, style) for part in layout.parts),
    ]
    if style.labels:
        body.append(_names(layout, pose, known, style))
    if style.scales:
        tinted = any(_reads(part, known) for part in layout.parts)
        body.append(_scales(scale, frame, style, tinted=tinted))
    left, top, width, height = frame
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="cutaway" role="img" '
        f'aria-labelledby="{style.identity}-title" viewBox="{_n(left)} {_n(top)} {_n(width)} {_n(height)}" '
        f'width="{_n(width)}" height="{_n(height)}" data-full-scale="{_n(scale)}" '
        f'font-family="\'Source Sans 3\', system-ui, sans-serif" font-size="{_n(TEXT)}">'
        f'<title id="{style.identity}-title">{escape(title or "Cut-away drawing")}</title>'
        f"{''.join(body)}</svg>"
    )


def round_scale(highest: float, units: UnitChoice | None = None) -> float:
    """Return a round full scale (Pa) at or above the highest gauge pressure, in the user's unit.

    Examples
    --------
    >>> round(round_scale(1.1e6, UnitChoice(pressure="bar")))
    1500000
    """
    step = to_unit(max(highest, 1000.0), "pressure", units)
    one = to_unit(1.0, "pressure", units)
    size = 1.0
    while size * 10 <= step:
        size *= 10
    while size > step:
        size /= 10
    for factor in (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0):
        if factor * size >= step * (1 - 1e-12):
            return factor * size / one
    return 10 * size / one


def picture_size(layout: Layout, style: CutawayStyle | None = None) -> tuple[float, float]:
    """Return width and height (mm) of the picture of a layout, names and scales included."""
    _, _, width, height = _frame(layout, style or CutawayStyle())
    return width, height


def _frame(layout: Layout, style: CutawayStyle) -> tuple[float, float, float, float]:
    """Left, top, width, height of the drawing with its names and scales."""
    left, top, right, bottom = layout.box()
    if style.labels:
        above, below = _names_reach(layout)
        top, bottom = min(top, above), max(bottom, below)
    side = COLUMN if style.labels else 6.0
    foot = FOOT if style.scales else 4.0
    width = max(right - left + 2 * side, style.least_size[0])
    height = max(bottom - top + 16.0 + foot, style.least_size[1])
    return (left + right - width) / 2, top - 8.0, width, height


def _names_reach(layout: Layout) -> tuple[float, float]:
    """How far up and down the names go (mm), were every chamber to have its pressure read."""
    reach = [0.5 * (layout.box()[1] + layout.box()[3])]
    for side in ("left", "right"):
        named = sorted(
            (part for part in layout.parts if part.side == side and part.name),
            key=lambda part: _middle(part, Pose()),
        )
        heights = [LINE * (2 if part.chamber else 1) for part in named]
        places = spread([_middle(part, Pose()) for part in named], heights)
        for place, height in zip(places, heights, strict=True):
            reach += [place - height / 2, place + height / 2]
    return min(reach), max(reach)


# --- parts -----------------------------------------------------------------------------------------------


def _defs(identity: str) -> str:
    patterns = [
        hatch_pattern(paint.hatch, paint.ink, f"{identity}-{name}")
        for name, paint in PAINTS.items()
        if paint.hatch != "none"
    ]
    stops = "".join(
        f'<stop offset="{_n(place)}" stop-color="{pressure_colour(place, 1.0)}"/>' for place, _ in RAMP
    )
    return f'<defs>{"".join(patterns)}<linearGradient id="{identity}-ramp">{stops}</linearGradient></defs>'


def _part(part: Part, pose: Pose, pressures: dict[str, float], scale: float, style: CutawayStyle) -> str:
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
    shift = f'data-shift="{part.top}" transform="translate(0 {_n(pose.shift(part.top))})"'
    if part.shape == "circle":
        left, top, right, bottom = part.box()
        return (
            f'<circle cx="{_n((left + right) / 2)}" cy="{_n((top + bottom) / 2)}" '
            f'r="{_n((right - left) / 2)}" {shift} {look}/>'
        )
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in part.points)
    return f'<polygon points="{points}" {shift} {look}/>'


def _rectangle(part: Part, pose: Pose, look: str) -> str:
    left, top, right, bottom = moved_box(part, pose)
    return (
        f'<rect x="{_n(left)}" y="{_n(top)}" width="{_n(right - left)}" '
        f'height="{_n(max(bottom - top, 0.0))}" data-part="{part.key}" {_edges(part)} {look}/>'
    )


def _edges(part: Part) -> str:
    """What the upper and lower edge follow, and where they stand at full extension."""
    _, top, _, bottom = part.box()
    return f'data-top="{part.top}" data-bottom="{part.bottom}" data-y="{_n(top)}" data-b="{_n(bottom)}"'


def _coil(part: Part, pose: Pose) -> str:
    left, top, right, bottom = moved_box(part, pose)
    step = (bottom - top) / (2 * COIL_TURNS)
    points = " ".join(
        f"{_n(left if place % 2 == 0 else right)},{_n(top + place * step)}"
        for place in range(2 * COIL_TURNS + 1)
    )
    return (
        f'<polyline points="{points}" data-coil="{COIL_TURNS}" data-left="{_n(left)}" '
        f'data-right="{_n(right)}" {_edges(part)} fill="none" stroke="#6d7c87" stroke-width="2.2" '
        f'stroke-linejoin="round"/>'
    )


# --- names -----------------------------------------------------------------------------------------------


def _names(layout: Layout, pose: Pose, pressures: dict[str, float], style: CutawayStyle) -> str:
    left, _, right, _ = layout.box()
    still = _column(layout, "left", left - GAP, pose, pressures, style)
    moving = _column(layout, "right", right + GAP, Pose(), pressures, style)
    lift = _n(pose.shift("lowers"))
    return (
        f'<g class="names">{still}</g>'
        f'<g class="names" data-shift="lowers" transform="translate(0 {lift})">{moving}</g>'
    )


def _column(
    layout: Layout, side: str, edge: float, pose: Pose, pressures: dict[str, float], style: CutawayStyle
) -> str:
    """One column of names with their leaders; where they stand is settled at full extension."""
    named = [part for part in layout.parts if part.side == side and part.name]
    named.sort(key=lambda part: _middle(part, Pose()))
    heights = [LINE * (2 if _reads(part, pressures) else 1) for part in named]
    places = spread([_middle(part, Pose()) for part in named], heights)
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
    anchor = _middle(part, pose)
    reads = _reads(part, pressures)
    first = place + TEXT * 0.33 - (LINE / 2 if reads else 0.0)
    lines = f'<tspan x="{_n(edge)}" y="{_n(first)}">{escape(part.name)}</tspan>'
    if reads:
        value = escape(show(pressures[part.chamber], "pressure", style.units))
        lines += (
            f'<tspan x="{_n(edge)}" y="{_n(first + LINE)}" font-weight="700" data-reads="{part.chamber}">'
            f"{value}</tspan>"
        )
    follow = _edges(part) if side == "left" else ""
    start, knee = edge + towards * 3.0, edge + towards * 11.0
    return (
        f'<polyline points="{_n(start)},{_n(place)} {_n(knee)},{_n(anchor)} {_n(target)},{_n(anchor)}" '
        f'data-leader="{_n(start)} {_n(place)} {_n(knee)} {_n(target)}" {follow} fill="none" '
        f'stroke="currentColor" stroke-width="0.6"/>'
        f'<text text-anchor="{"end" if side == "left" else "start"}" fill="currentColor">{lines}</text>'
    )


def _middle(part: Part, pose: Pose) -> float:
    _, top, _, bottom = moved_box(part, pose)
    return (top + bottom) / 2


def _reads(part: Part, pressures: dict[str, float]) -> bool:
    return bool(part.chamber) and part.chamber in pressures


# --- scales ----------------------------------------------------------------------------------------------


def _scales(
    scale: float, frame: tuple[float, float, float, float], style: CutawayStyle, *, tinted: bool
) -> str:
    """Below the drawing: the tint of gauge pressure where a chamber has one, and a bar of 50 mm."""
    left, top, width, height = frame
    middle, base = left + width / 2, top + height - FOOT + 10.0
    return (
        f'<g class="scales">{_ramp(scale, middle, base, width, style) if tinted else ""}'
        f'<path d="M{_n(middle - 25)} {_n(base + 34)}v-6m0 3h50m0 -3v6" fill="none" stroke="currentColor" '
        f'stroke-width="0.8"/><text x="{_n(middle)}" y="{_n(base + 45)}" text-anchor="middle" font-size="10" '
        f'fill="currentColor">50 mm, both directions to scale</text></g>'
    )


def _ramp(scale: float, middle: float, base: float, width: float, style: CutawayStyle) -> str:
    bar = min(width - 24.0, 220.0)
    start = middle - bar / 2
    ticks = "".join(
        f'<text x="{_n(start + share * bar)}" y="{_n(base + 21)}" text-anchor="middle" font-size="10" '
        f'fill="currentColor">{to_unit(share * scale, "pressure", style.units):.4g}</text>'
        for share in (0.0, 0.5, 1.0)
    )
    return (
        f'<rect x="{_n(start)}" y="{_n(base)}" width="{_n(bar)}" height="10" '
        f'fill="url(#{style.identity}-ramp)" stroke="#5d7484" stroke-width="0.5"/>{ticks}'
        f'<text x="{_n(middle)}" y="{_n(base - 3)}" text-anchor="middle" font-size="10" fill="currentColor">'
        f"gauge pressure, {escape(unit_label('pressure', style.units))}</text>"
    )


def _n(number: float) -> str:
    """A coordinate to a hundredth of a millimetre, without trailing noughts."""
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
