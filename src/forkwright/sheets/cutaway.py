"""The to-scale cut-away drawing as SVG, at any travel.

One drawing unit is one millimetre in both directions. Everything that can move carries in its attributes
what it follows and where it stands at full extension, so a page's script (`assets/cutaway.js`) shows another
travel by shifting edges alone: the drawing itself is written here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from forkwright.sheets.cutaway_names import middle_of, names, reads, scales
from forkwright.sheets.cutaway_parts import definitions, drawn_part
from forkwright.sheets.cutaway_style import COLUMN, FOOT, LINE, TEXT, CutawayStyle, mm
from forkwright.sheets.geometry import Layout, Pose
from forkwright.sheets.labels import spread
from forkwright.units import UnitChoice, to_unit

__all__ = ["CutawayStyle", "draw_cutaway", "picture_size", "round_scale"]


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
        definitions(style.identity),
        "".join(drawn_part(part, pose, known, scale, style) for part in layout.parts),
    ]
    if style.labels:
        body.append(names(layout, pose, known, style))
    if style.scales:
        tinted = any(reads(part, known) for part in layout.parts)
        body.append(scales(scale, frame, style, tinted=tinted))
    left, top, width, height = frame
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="cutaway" role="img" '
        f'aria-labelledby="{style.identity}-title" viewBox="{mm(left)} {mm(top)} {mm(width)} {mm(height)}" '
        f'width="{mm(width)}" height="{mm(height)}" data-full-scale="{mm(scale)}" '
        f'font-family="\'Source Sans 3\', system-ui, sans-serif" font-size="{mm(TEXT)}">'
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
            key=lambda part: middle_of(part, Pose()),
        )
        heights = [LINE * (2 if part.chamber else 1) for part in named]
        places = spread([middle_of(part, Pose()) for part in named], heights)
        for place, height in zip(places, heights, strict=True):
            reach += [place - height / 2, place + height / 2]
    return min(reach), max(reach)
