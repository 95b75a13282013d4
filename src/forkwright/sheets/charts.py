"""Charts as Plotly figures: plain dicts ready for JSON, for the report and the workbench."""

from __future__ import annotations

from typing import Any

from forkwright.sheets.chart import Chart, Line, Mark, finite
from forkwright.sheets.palette import DARK_PAPER, LIGHT_PAPER, line_style, series_colours

BAND_OPACITY = 0.18
PLOTLY_CONFIG: dict[str, Any] = {
    "displaylogo": False,
    "modeBarButtons": [["toImage", "zoom2d", "pan2d", "resetScale2d"]],
    "responsive": True,
    "toImageButtonOptions": {"format": "svg"},
}


def plotly_figure(chart: Chart, *, dark: bool = False) -> dict[str, Any]:
    """Turn a chart into a Plotly figure.

    Parameters
    ----------
    chart : Chart
        Lines, bands and axes in the units shown.
    dark : bool
        For dark paper.

    Returns
    -------
    dict
        With `data`, `layout` and `config`; nothing in it but JSON values. Text is shown as text: angle
        brackets in names are written as entities.
    """
    colours = series_colours(dark=dark)
    data: list[dict[str, Any]] = []
    for line in chart.lines:
        colour = colours[line.place % len(colours)]
        if line.low is not None and line.high is not None:
            data += _band(line, colour)
        data.append(_line(line, colour, chart))
    return {
        "data": data,
        "layout": _layout(chart, colours, dark=dark),
        "config": PLOTLY_CONFIG,
    }


def _line(line: Line, colour: str, chart: Chart) -> dict[str, Any]:
    unit = chart.y_title.rsplit(",", 1)[-1].strip() if "," in chart.y_title else ""
    across = chart.x_title.rsplit(",", 1)[-1].strip() if "," in chart.x_title else ""
    return {
        "type": "scatter",
        "mode": "lines",
        "name": plain(line.name),
        "x": finite(line.x),
        "y": finite(line.y),
        "line": {
            "color": colour,
            "dash": line_style(line.place),
            "width": 1.4 if line.thin else 2.4,
            "simplify": False,
        },
        "legendgroup": plain(line.name),
        "hovertemplate": f"%{{y:.4g}} {plain(unit)} at %{{x:.4g}} {plain(across)}",
    }


def _band(line: Line, colour: str) -> list[dict[str, Any]]:
    assert line.low is not None
    assert line.high is not None
    common = {
        "type": "scatter",
        "mode": "lines",
        "x": finite(line.x),
        "line": {"width": 0, "simplify": False},
        "hoverinfo": "skip",
        "showlegend": False,
        "legendgroup": plain(line.name),
    }
    red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))
    fill = {"fill": "tonexty", "fillcolor": f"rgba({red},{green},{blue},{BAND_OPACITY})"}
    return [{**common, "y": finite(line.low)}, {**common, **fill, "y": finite(line.high)}]


def _layout(chart: Chart, colours: tuple[str, ...], *, dark: bool) -> dict[str, Any]:
    ink, grid = ("#e8eaeb", "#3a4348") if dark else ("#1b2327", "#d9dee1")
    paper = DARK_PAPER if dark else LIGHT_PAPER
    axis = {"gridcolor": grid, "zerolinecolor": grid, "linecolor": ink, "ticks": "outside"}
    return {
        "title": {"text": plain(chart.title), "x": 0.0, "xanchor": "left", "font": {"size": 16}},
        "xaxis": {**axis, "title": {"text": plain(chart.x_title)}},
        "yaxis": {
            **axis,
            "title": {"text": plain(chart.y_title)},
            "rangemode": "tozero" if chart.from_zero else "normal",
        },
        "hovermode": "x unified",
        "legend": {"orientation": "h", "y": -0.25},
        "margin": {"l": 64, "r": 16, "t": 48, "b": 64},
        "font": {"family": "Source Sans 3, system-ui, sans-serif", "size": 14, "color": ink},
        "paper_bgcolor": paper,
        "plot_bgcolor": paper,
        "shapes": [_shape(mark, colours) for mark in chart.marks],
        "annotations": [_annotation(mark, ink, row) for row, mark in enumerate(chart.marks)],
    }


def _shape(mark: Mark, colours: tuple[str, ...]) -> dict[str, Any]:
    colour = colours[mark.place % len(colours)]
    return {
        "type": "rect",
        "xref": "x",
        "yref": "paper",
        "x0": mark.low,
        "x1": mark.high,
        "y0": 0,
        "y1": 1,
        "fillcolor": colour,
        "opacity": 0.12,
        "line": {"width": 1, "color": colour, "dash": line_style(mark.place)},
        "layer": "below",
    }


def _annotation(mark: Mark, ink: str, row: int) -> dict[str, Any]:
    return {
        "x": (mark.low + mark.high) / 2,
        "y": 1.0 - 0.07 * row,
        "yref": "paper",
        "yanchor": "top",
        "showarrow": False,
        "text": plain(mark.name),
        "font": {"color": ink, "size": 12},
    }


def plain(text: str) -> str:
    """Return text that Plotly shows as it stands: it reads a few tags and entities, so they are spelt out.

    Examples
    --------
    >>> plain("<b>5 & 6</b>")
    '&lt;b&gt;5 &amp; 6&lt;/b&gt;'
    """
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("%{", "% {")
