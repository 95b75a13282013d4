"""The one home of the colours: a published colour-blind-safe palette, with a line style for each colour.

Source
------
Okabe, M. and Ito, K. (2008), "Color Universal Design (CUD): how to make figures and presentations that are
friendly to colorblind people"; the eight colours as RGB. Which of them are dark or light enough on which
paper is computed by the WCAG 2.2 contrast ratio in the tests.
"""

from __future__ import annotations

OKABE_ITO: dict[str, str] = {
    "black": "#000000",
    "orange": "#E69F00",
    "sky blue": "#56B4E9",
    "bluish green": "#009E73",
    "yellow": "#F0E442",
    "blue": "#0072B2",
    "vermillion": "#D55E00",
    "reddish purple": "#CC79A7",
}

#: Line styles that go with the colours, so that curves part on a grey print too (dash names as in SVG plots).
LINE_STYLES: tuple[str, ...] = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")

#: The order in which curves take colours on light and on dark paper; each keeps at least 3:1 against it.
ON_LIGHT: tuple[str, ...] = ("blue", "vermillion", "bluish green", "reddish purple", "black")
ON_DARK: tuple[str, ...] = ("sky blue", "orange", "bluish green", "reddish purple", "yellow", "vermillion")

#: The papers the curves are drawn on.
LIGHT_PAPER = "#FFFFFF"
DARK_PAPER = "#14191B"


def series_colours(*, dark: bool = False) -> tuple[str, ...]:
    """Return the curve colours, in the order in which curves take them, for light or dark paper.

    Examples
    --------
    >>> series_colours()[0]
    '#0072B2'
    """
    return tuple(OKABE_ITO[name] for name in (ON_DARK if dark else ON_LIGHT))


def line_style(place: int) -> str:
    """Return the line style of the curve at `place` (0 is the first).

    Examples
    --------
    >>> line_style(1)
    'dash'
    """
    return LINE_STYLES[place % len(LINE_STYLES)]
