"""A shim stack in section: at rest and to scale on the left of the axis, under load on the right.

On the right all heights, thickness and lift alike, are enlarged by one factor that stands in the drawing. So
discs that touch still touch there and none cuts another, which enlarging the lift alone would not promise.
"""

from __future__ import annotations

from html import escape
from typing import Final

import numpy as np

from forkwright.hardware.shim_parts import as_stack
from forkwright.hardware.stack import StackFile
from forkwright.sheets.labels import spread
from forkwright.sheets.paints import PAINTS, hatch_pattern
from forkwright.sheets.palette import OKABE_ITO
from forkwright.sheets.shim_shapes import Array, DrawnDisc, DrawnStack, drawn_stack
from forkwright.units import UnitChoice, show

SCALE: Final = 24.0  # drawing units per millimetre
FACE: Final = 60.0  # depth of the valve body drawn below the face
WASHER: Final = 34.0  # height of the clamp washer drawn above the stack
NAMES: Final = 190.0
ROUND: Final = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
TALLEST: Final = 9.0  # mm on the drawing that the loaded half may take
STRAIGHT: Final = 20  # straight pieces of a drawn disc: finer than the eye sees a bend at this size
TINTS: Final = (OKABE_ITO["sky blue"], OKABE_ITO["yellow"])


def enlargement(stack: DrawnStack) -> float:
    """Return the round factor for the loaded half's heights: the largest that keeps it on the paper."""
    height = (_stack_height(stack) + _highest(stack)) * 1e3
    return max((factor for factor in ROUND if factor * height <= TALLEST), default=1.0)


def drawing_of_stack(
    file: StackFile, pressure: float, units: UnitChoice | None = None, identity: str = "shims"
) -> str:
    """Draw the stack of a stack file under a pressure difference (Pa), its shims bent but not stretched."""
    discs, load, seat = as_stack(file)
    parts = {"fulcrum": file.fulcrum_part(), "backing_spring": file.spring_part()}
    drawn = drawn_stack(discs, load, seat, pressure, file.name, **parts)
    return draw_stack(drawn, units=units, identity=identity)


def draw_stack(
    stack: DrawnStack,
    factor: float | None = None,
    units: UnitChoice | None = None,
    identity: str = "shims",
) -> str:
    """Draw a stack as one `<svg>` element.

    Parameters
    ----------
    stack : DrawnStack
        Sizes and deflected shape.
    factor : float, optional
        By how much the loaded half's heights are enlarged; by default a round number that fits.
    units : UnitChoice, optional
        For sizes and pressure in the texts.
    identity : str
        Prefix of the ids inside.
    """
    factor = enlargement(stack) if factor is None else factor
    widest = max(max(disc.outer_radius for disc in stack.discs), stack.port_outer) * 1e3 * SCALE + 26.0
    height = _stack_height(stack) * 1e3 * SCALE
    top = -(height + max(_highest(stack), 0.0) * 1e3 * SCALE) * factor - WASHER - 26.0
    words = _caption(stack, factor, units)
    body = [
        f"<defs>{hatch_pattern('falling', '#33414a', identity + '-cut')}</defs>",
        _valve_body(stack, widest, identity),
        *_discs(stack, factor),
        _washer(stack, -1.0, height, identity),
        _washer(stack, 1.0, height * factor, identity),
        _names(stack, widest, factor, units),
        f'<path d="M0 {top + 8:.1f}V{FACE:g}" stroke="currentColor" stroke-dasharray="14 4 2 4"/>',
        f'<text x="{-widest + 4:.1f}" y="{top + 14:.1f}" fill="currentColor">at rest, to scale</text>',
        f'<text x="{widest - 4:.1f}" y="{top + 14:.1f}" text-anchor="end" fill="currentColor">'
        f"under load, heights × {factor:g}</text>",
        f'<text x="{-widest:.1f}" y="{FACE + 22:g}" fill="currentColor">{escape(words)}</text>',
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{identity}-title" '
        f'viewBox="{-widest - 8:.1f} {top:.1f} {2 * widest + NAMES + 16:.1f} {FACE + 34 - top:.1f}" '
        f'width="{2 * widest + NAMES + 16:.0f}" height="{FACE + 34 - top:.0f}" font-size="13" '
        f"font-family=\"'Source Sans 3', system-ui, sans-serif\">"
        f'<title id="{identity}-title">{escape(stack.name or "Shim stack")}: {escape(words)}</title>'
        f"{''.join(body)}</svg>"
    )


def _caption(stack: DrawnStack, factor: float, units: UnitChoice | None) -> str:
    pressure = show(stack.pressure, "pressure", units)
    return f"{pressure} across the stack; heights on the right enlarged {factor:g} times."


def _stack_height(stack: DrawnStack) -> float:
    return sum(disc.thickness for disc in stack.discs)


def _highest(stack: DrawnStack) -> float:
    return max((float(np.max(disc.lift)) for disc in stack.discs if disc.lift.size), default=0.0)


def _valve_body(stack: DrawnStack, widest: float, identity: str) -> str:
    """The valve body below the face, with the port that the pressure comes through on either side."""
    inner, outer = stack.port_inner * 1e3 * SCALE, stack.port_outer * 1e3 * SCALE
    seat, bore = stack.seat_radius * 1e3 * SCALE, stack.bore_radius * 1e3 * SCALE
    paint, oil = PAINTS["alloy"], PAINTS["oil"]
    parts = []
    for sign in (-1.0, 1.0):
        left = min(sign * bore, sign * (widest - 12.0))
        box = f'x="{left:.2f}" y="0" width="{widest - 12.0 - bore:.2f}" height="{FACE:g}"'
        port = (
            f'x="{min(sign * inner, sign * outer):.2f}" y="0" width="{outer - inner:.2f}" height="{FACE:g}"'
        )
        parts.append(f'<rect {box} fill="{paint.fill}" stroke="{paint.line}"/>')
        parts.append(f'<rect {box} fill="url(#{identity}-cut)"/>')
        parts.append(f'<rect {port} fill="{oil.fill}" stroke="{oil.line}"/>')
        parts.append(
            f'<path d="M{sign * seat:.2f} 0v-5m0 5v8" stroke="{OKABE_ITO["vermillion"]}" stroke-width="2"/>'
        )
    return "".join(parts)


def _discs(stack: DrawnStack, factor: float) -> list[str]:
    """Each disc twice: at rest on the left, under load on the right."""
    drawn, base = [], 0.0
    for place, disc in enumerate(stack.discs):
        for sign, shape, enlarged in ((-1.0, disc.rest, 1.0), (1.0, disc.lift, factor)):
            radius, height = _outline(stack, disc, shape)
            lower = [(sign * r, -(base + z) * enlarged) for r, z in zip(radius, height, strict=True)]
            upper = [(x, y - disc.thickness * 1e3 * SCALE * enlarged) for x, y in reversed(lower)]
            points = " ".join(f"{x:.2f},{y:.2f}" for x, y in (*lower, *upper))
            drawn.append(
                f'<polygon points="{points}" fill="{TINTS[place % 2]}" stroke="#1b2327" stroke-width="0.8" '
                f'data-disc="{place + 1}"/>'
            )
        base += disc.thickness * 1e3 * SCALE
    return drawn


def _outline(stack: DrawnStack, disc: DrawnDisc, shape: Array) -> tuple[list[float], list[float]]:
    """Radii and heights of a disc's lower face in drawing units, from the bore to the rim.

    Of the many radii a stack is solved at, every so-manyth is drawn, the same for all discs, so that discs
    that touch go on touching.
    """
    if not disc.radius.size:
        return [stack.bore_radius * 1e3 * SCALE, disc.outer_radius * 1e3 * SCALE], [0.0, 0.0]
    every = max(1, max(other.radius.size for other in stack.discs) // STRAIGHT)
    drawn = np.unique(np.append(np.arange(0, disc.radius.size, every), disc.radius.size - 1))
    radius = np.concatenate(([stack.bore_radius], disc.radius[drawn])) * 1e3 * SCALE
    height = np.concatenate((shape[:1], shape[drawn])) * 1e3 * SCALE
    return [float(value) for value in radius], [float(value) for value in height]


def _washer(stack: DrawnStack, sign: float, height: float, identity: str) -> str:
    radius, bore = stack.clamp_radius * 1e3 * SCALE, stack.bore_radius * 1e3 * SCALE
    paint = PAINTS["alloy"]
    left = min(sign * bore, sign * radius)
    box = f'x="{left:.2f}" y="{-height - WASHER:.2f}" width="{radius - bore:.2f}" height="{WASHER:g}"'
    return f'<rect {box} fill="{paint.fill}" stroke="{paint.line}"/><rect {box} fill="url(#{identity}-cut)"/>'


def _names(stack: DrawnStack, widest: float, factor: float, units: UnitChoice | None) -> str:
    """Sizes of the discs in a column on the right, from the valve face up."""
    rims, base = [], 0.0
    for disc in stack.discs:
        rims.append(-(base + disc.thickness * 1e3 * SCALE / 2) * factor)
        base += disc.thickness * 1e3 * SCALE
    ordered = list(reversed(list(enumerate(rims))))
    places = spread([y for _, y in ordered], [16.0] * len(ordered))
    return "".join(
        f'<text x="{widest + 14:.1f}" y="{level + 4.5:.1f}" fill="currentColor">'
        f"{place + 1}: {escape(_size(stack.discs[place], units))}</text>"
        for (place, _), level in zip(ordered, places, strict=True)
    )


def _size(disc: DrawnDisc, units: UnitChoice | None) -> str:
    return f"{show(2 * disc.outer_radius, 'length', units)} × {show(disc.thickness, 'length', units, 2)}"
