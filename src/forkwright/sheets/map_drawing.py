"""A map drawn as cells: one row per click, one column per speed, lost cells crossed out."""

from __future__ import annotations

import html

import numpy as np
from numpy.typing import NDArray

from forkwright.sheets.palette import OKABE_ITO

Array = NDArray[np.float64]

CELL, LEFT, TOP = (13.0, 11.0), 46.0, 18.0


def draw_margin_map(
    speed: Array,
    clicks: NDArray[np.int64],
    margin: Array,
    title: str,
    identity: str = "map",
    now: int | None = None,
) -> str:
    """Draw a cavitation map as one `<svg>` element.

    Parameters
    ----------
    speed : array, shape (n,)
        m/s.
    clicks : array of int, shape (m,)
        From fully closed.
    margin : array, shape (m, n)
        Pa; cells below zero are crossed: there the oil parts.
    title : str
        Plain text.
    identity : str
        Makes the drawing's ids unique on a page.
    now : int, optional
        The click that is set; its row is framed.
    """
    columns = np.unique(np.linspace(0, speed.size - 1, min(41, speed.size)).round().astype(int))
    width, height = LEFT + CELL[0] * columns.size + 10, TOP + CELL[1] * clicks.size + 34
    highest = max(float(np.max(margin)), 0.0) or 1.0  # Pa; nothing is left anywhere: any scale will do
    drawn = [
        _cell(LEFT + CELL[0] * i, TOP + CELL[1] * row, float(margin[row, column]) / highest)
        for row in range(clicks.size)
        for i, column in enumerate(columns)
    ]
    if now is not None and now in clicks:
        place = TOP + CELL[1] * int(np.flatnonzero(clicks == now)[0])
        drawn.append(
            _box(LEFT, place, CELL[0] * columns.size, 'fill="none" stroke="#000" stroke-width="1.6"')
        )
    drawn += _axes(speed, columns, clicks, height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'width="{width:.0f}" role="img" aria-labelledby="{identity}-title" font-family="sans-serif" '
        f'font-size="10"><title id="{identity}-title">{html.escape(title)}</title>'
    )
    return head + "".join(drawn) + "</svg>"


def _box(x: float, y: float, width: float, look: str) -> str:
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{CELL[1]:g}" {look}/>'


def _cell(x: float, y: float, share: float) -> str:
    """One cell: the deeper the blue the more margin; crossed on red-orange where it is lost."""
    if share < 0.0:
        right, down = CELL[0] - 4, CELL[1] - 4
        cross = f"M{x + 2:.1f} {y + 2:.1f}l{right} {down}m0 {-down}l{-right} {down}"
        return _box(x, y, CELL[0], f'fill="{OKABE_ITO["vermillion"]}"') + f'<path d="{cross}" stroke="#fff"/>'
    light = 1.0 - 0.8 * min(1.0, share)
    red, green, blue = (round(255 * light + part * (1 - light)) for part in (0x00, 0x72, 0xB2))
    return _box(x, y, CELL[0], f'fill="rgb({red},{green},{blue})"')


def _axes(speed: Array, columns: NDArray[np.int64], clicks: NDArray[np.int64], height: float) -> list[str]:
    words = []
    for i in range(0, columns.size, max(1, columns.size // 8)):
        x = LEFT + CELL[0] * (i + 0.5)
        words.append(_text(x, height - 20, "middle", f"{speed[columns[i]]:.1f}"))
    for row in range(0, clicks.size, max(1, clicks.size // 8)):
        words.append(_text(LEFT - 6, TOP + CELL[1] * (row + 0.8), "end", str(clicks[row])))
    words.append(_text(LEFT + CELL[0] * columns.size / 2, height - 6, "middle", "shaft speed, m/s"))
    words.append(_text(4, 12, "start", "clicks from closed"))
    return words


def _text(x: float, y: float, anchor: str, words: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{html.escape(words)}</text>'
