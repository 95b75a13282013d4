"""Charts as still SVG, for paper and for pages without script."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

from forkwright.sheets.chart import Array, Chart, Line
from forkwright.sheets.palette import line_style, series_colours

WIDTH: Final = 520.0
HEIGHT: Final = 300.0
LEFT: Final = 58.0
RIGHT: Final = 14.0
TOP: Final = 28.0
BOTTOM: Final = 44.0
LEGEND_ROW: Final = 16.0
INK: Final = "#1b2327"
GRID: Final = "#d9dee1"
DASHES: Final = {
    "solid": "",
    "dash": "8 4",
    "dot": "2 3",
    "dashdot": "8 3 2 3",
    "longdash": "14 5",
    "longdashdot": "14 4 2 4",
}


@dataclass(frozen=True)
class _Axes:
    """From the chart's numbers to places on the paper."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        return LEFT + (value - self.x_low) / (self.x_high - self.x_low) * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        return HEIGHT - BOTTOM - (value - self.y_low) / (self.y_high - self.y_low) * (HEIGHT - TOP - BOTTOM)


def draw_chart(chart: Chart, identity: str = "chart") -> str:
    """Draw a chart as one `<svg>` element.

    Parameters
    ----------
    chart : Chart
        Lines, bands and axes in the units shown; names may be any text.
    identity : str
        Prefix of the ids inside, different for every chart on a page.
    """
    axes = _axes(chart)
    names = list(dict.fromkeys((line.name, line.place, line.thin) for line in chart.lines))
    height = HEIGHT + LEGEND_ROW * len(names)
    body = [
        _grid(chart, axes),
        *(
            _mark(mark.name, mark.low, mark.high, mark.place, axes, row)
            for row, mark in enumerate(chart.marks)
        ),
        f'<g clip-path="url(#{identity}-frame)">',
        *(_band(line, axes) for line in chart.lines if line.low is not None),
        *(_curve(line, axes) for line in chart.lines),
        "</g>",
        *(_legend(name, place, thin, row) for row, (name, place, thin) in enumerate(names)),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{identity}-title" '
        f'viewBox="0 0 {WIDTH:g} {height:g}" width="{WIDTH:g}" height="{height:g}" font-size="11" '
        f"font-family=\"'Source Sans 3', system-ui, sans-serif\">"
        f'<title id="{identity}-title">{escape(chart.title)}</title>'
        f'<defs><clipPath id="{identity}-frame"><rect x="{LEFT:g}" y="{TOP:g}" '
        f'width="{WIDTH - LEFT - RIGHT:g}" height="{HEIGHT - TOP - BOTTOM:g}"/></clipPath></defs>'
        f'<text x="{LEFT:g}" y="16" font-size="13" font-weight="700" fill="{INK}">'
        f"{escape(chart.title)}</text>"
        f"{''.join(body)}</svg>"
    )


def round_ticks(low: float, high: float, wanted: int = 6) -> list[float]:
    """Return round numbers covering [low, high], a step of 1, 2, 2.5, 4 or 5 times a power of ten apart.

    Examples
    --------
    >>> round_ticks(0.0, 160.0)
    [0.0, 40.0, 80.0, 120.0, 160.0]
    """
    span = high - low if high > low else max(abs(high), 1.0)
    size = 10.0 ** math.floor(math.log10(span / wanted))
    step = next(
        factor * size for factor in (1.0, 2.0, 2.5, 4.0, 5.0, 10.0) if span / (factor * size) <= wanted
    )
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [place * step for place in range(first, max(last, first + 1) + 1)]


def _axes(chart: Chart) -> _Axes:
    across = _extent([line.x for line in chart.lines])
    up = _extent([part for line in chart.lines for part in (line.y, line.low, line.high) if part is not None])
    low, high = (min(up[0], 0.0), max(up[1], 0.0)) if chart.from_zero else up
    ticks = round_ticks(low, high)
    right = across[1] if across[1] > across[0] else across[0] + 1.0
    return _Axes(across[0], right, ticks[0], ticks[-1])


def _extent(arrays: list[Array]) -> tuple[float, float]:
    finite = [array[np.isfinite(array)] for array in (np.asarray(a, dtype=np.float64) for a in arrays)]
    finite = [array for array in finite if array.size]
    if not finite:
        return 0.0, 1.0
    return min(float(a.min()) for a in finite), max(float(a.max()) for a in finite)


def _grid(chart: Chart, axes: _Axes) -> str:
    floor, right = HEIGHT - BOTTOM, WIDTH - RIGHT
    parts = []
    for tick in round_ticks(axes.x_low, axes.x_high, 8):
        if axes.x_low - 1e-9 <= tick <= axes.x_high * (1 + 1e-9):
            x = axes.x(tick)
            parts.append(f'<path d="M{x:.2f} {TOP:g}V{floor:g}" stroke="{GRID}" stroke-width="0.7"/>')
            parts.append(
                f'<text x="{x:.2f}" y="{floor + 14:g}" text-anchor="middle" fill="{INK}">{tick:g}</text>'
            )
    for tick in round_ticks(axes.y_low, axes.y_high):
        y = axes.y(tick)
        if TOP - 0.5 <= y <= floor + 0.5:
            parts.append(f'<path d="M{LEFT:g} {y:.2f}H{right:g}" stroke="{GRID}" stroke-width="0.7"/>')
            parts.append(
                f'<text x="{LEFT - 6:g}" y="{y + 3.6:.2f}" text-anchor="end" fill="{INK}">{tick:g}</text>'
            )
    middle = (TOP + floor) / 2
    return (
        f"{''.join(parts)}"
        f'<path d="M{LEFT:g} {TOP:g}V{floor:g}H{right:g}" fill="none" stroke="{INK}" stroke-width="0.9"/>'
        f'<text x="{(LEFT + right) / 2:g}" y="{floor + 31:g}" text-anchor="middle" fill="{INK}">'
        f'{escape(chart.x_title)}</text><text transform="translate(14 {middle:g}) rotate(-90)" '
        f'text-anchor="middle" fill="{INK}">{escape(chart.y_title)}</text>'
    )


def _runs(xs: Array, ys: Array, axes: _Axes) -> list[str]:
    """Point lists of a curve, broken where a value is missing."""
    runs: list[list[str]] = [[]]
    for x, y in zip(xs, ys, strict=True):
        if math.isfinite(x) and math.isfinite(y):
            runs[-1].append(f"{axes.x(float(x)):.2f},{axes.y(float(y)):.2f}")
        elif runs[-1]:
            runs.append([])
    return [" ".join(run) for run in runs if run]


def _curve(line: Line, axes: _Axes) -> str:
    return "".join(
        f'<polyline points="{run}" fill="none" {_stroke(line.place, line.thin)}/>'
        for run in _runs(line.x, line.y, axes)
    )


def _band(line: Line, axes: _Axes) -> str:
    assert line.low is not None
    assert line.high is not None
    keep = np.isfinite(line.x) & np.isfinite(line.low) & np.isfinite(line.high)
    there = _runs(line.x[keep], line.low[keep], axes)
    back = _runs(line.x[keep][::-1], line.high[keep][::-1], axes)
    if not there or not back:
        return ""
    colour = _colour(line.place)
    return f'<polygon points="{there[0]} {back[0]}" fill="{colour}" fill-opacity="0.18" stroke="none"/>'


def _mark(name: str, low: float, high: float, place: int, axes: _Axes, row: int) -> str:
    left, right = axes.x(low), axes.x(high)
    return (
        f'<rect x="{left:.2f}" y="{TOP:g}" width="{max(right - left, 0.8):.2f}" '
        f'height="{HEIGHT - TOP - BOTTOM:g}" fill="{_colour(place)}" fill-opacity="0.13"/>'
        f'<text x="{(left + right) / 2:.2f}" y="{TOP + 11 + 12 * row:g}" text-anchor="middle" '
        f'font-size="9.5" fill="{INK}">{escape(name)}</text>'
    )


def _legend(name: str, place: int, thin: bool, row: int) -> str:
    y = HEIGHT + 2 + LEGEND_ROW * row
    return (
        f'<path d="M{LEFT:g} {y:g}h34" fill="none" {_stroke(place, thin)}/>'
        f'<text x="{LEFT + 42:g}" y="{y + 3.8:g}" fill="{INK}">{escape(name)}</text>'
    )


def _colour(place: int) -> str:
    colours = series_colours()
    return colours[place % len(colours)]


def _stroke(place: int, thin: bool) -> str:
    dash = DASHES[line_style(place)]
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'stroke="{_colour(place)}" stroke-width="{1.0 if thin else 1.9}"{dashed}'
