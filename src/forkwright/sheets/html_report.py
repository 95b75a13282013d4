"""A report as one HTML file that works without a network: styles, drawings, data and scripts are inside."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import jinja2
import numpy as np
from markupsafe import Markup

from forkwright.sheets.chart import Chart, Line
from forkwright.sheets.chart_print import draw_chart
from forkwright.sheets.charts import plotly_figure
from forkwright.sheets.document import ORIGIN_MARKS, Cell, Figure, Movers, Report, has_bands, origins_in
from forkwright.sheets.files import PLOTTING_SCRIPT, SHEET_FILES, TEMPLATES

TABLE_ROWS = 33  # of the numbers behind a chart; the curve itself keeps all its points


def write_html(report: Report) -> str:
    """Write a report as one self-contained HTML page.

    Parameters
    ----------
    report : Report
        Texts are taken as plain text and escaped; only drawings made by this room go in as they are.

    Returns
    -------
    str
        The page. It asks nothing of any network: a content policy in its head forbids it to.
    """
    template = _environment().get_template("report.html.j2")
    charts = [block.chart for block in report.blocks if isinstance(block, Figure)]
    movers = [block for block in report.blocks if isinstance(block, Movers)]
    motions = [[item.motion for item in block.items] for block in movers]
    return template.render(
        report=report,
        marks={name: mark for name, (mark, _) in ORIGIN_MARKS.items()},
        bands=has_bands(report),
        origins=[ORIGIN_MARKS[name] for name in origins_in(report)],
        figures=script_json([plotly_figure(chart) for chart in charts]),
        motions=script_json(motions),
        plotly_script=Markup(_plotly_script() if charts else ""),
        cutaway_script=Markup((SHEET_FILES / "cutaway.js").read_text("utf-8") if motions else ""),
    )


def script_json(value: Any) -> Markup:
    """Return JSON that can stand inside a script element whatever text is in it.

    Examples
    --------
    >>> print(script_json({"name": "</script>"}))
    {"name": "\\u003c/script>"}
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    for unsafe in ("<", "\u2028", "\u2029"):
        text = text.replace(unsafe, f"\\u{ord(unsafe):04x}")
    return Markup(text)


def chart_tables(chart: Chart) -> list[tuple[list[str], list[list[str]]]]:
    """Return the numbers behind a chart as tables (heads, rows); lines of the same x values share one."""
    groups: dict[bytes, list[Line]] = {}
    for line in chart.lines:
        groups.setdefault(np.asarray(line.x, dtype=np.float64).tobytes(), []).append(line)
    return [_table_of(chart.x_title, lines) for lines in groups.values()]


def _table_of(x_title: str, lines: list[Line]) -> tuple[list[str], list[list[str]]]:
    across = lines[0].x
    step = max(1, -(-len(across) // TABLE_ROWS))
    places = sorted({*range(0, len(across), step), len(across) - 1})
    heads = [x_title, *(line.name for line in lines)]
    rows = [
        [f"{float(across[place]):.4g}", *(_number(float(line.y[place])) for line in lines)]
        for place in places
    ]
    return heads, rows


def _number(value: float) -> str:
    return f"{value:.5g}" if np.isfinite(value) else "–"


@cache
def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["kind"] = lambda block: type(block).__name__
    environment.filters["drawing"] = Markup
    environment.filters["cell"] = lambda value: value if isinstance(value, Cell) else Cell(str(value))
    environment.globals["chart_tables"] = chart_tables
    environment.globals["still"] = lambda chart, identity: Markup(draw_chart(chart, identity))
    return environment


@cache
def _plotly_script() -> str:
    """The chart library's own file, ready to stand inside a page."""
    text = PLOTTING_SCRIPT.read_text("utf-8")
    return text.replace("</script", "<\\/script")
