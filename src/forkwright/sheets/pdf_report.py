"""A report as PDF: the same blocks as the page, with still charts and drawings."""

from __future__ import annotations

from typing import Any

from forkwright.sheets.chart_print import draw_chart
from forkwright.sheets.document import (
    ORIGIN_MARKS,
    Cell,
    Figure,
    Gallery,
    Heading,
    Movers,
    Report,
    Sentences,
    Table,
    Warnings,
    has_bands,
    origins_in,
)
from forkwright.sheets.typst_print import Form, Printed, print_template


def print_report(report: Report, form: Form = "pdf") -> Printed:
    """Print a report on A4.

    Parameters
    ----------
    report : Report
        The blocks; what only a page can show (`Movers`) is left out.
    form : str
        "pdf", or "png" for a look at the first page.
    """
    drawings: list[str] = []
    blocks = [_block(block, drawings) for block in report.blocks if not isinstance(block, Movers)]
    data = {
        "title": report.title,
        "subtitle": report.subtitle,
        "blocks": blocks,
        "origins": [list(ORIGIN_MARKS[name]) for name in origins_in(report)],
        "fingerprints": list(report.fingerprints),
        "bands": has_bands(report),
        "drawings": drawings,
    }
    return print_template("report.typ", data, form)


def _block(block: Any, drawings: list[str]) -> dict[str, Any]:
    """One block as plain data; drawings are kept apart and referred to by their place."""
    if isinstance(block, Heading):
        return {"kind": "heading", "text": block.text}
    if isinstance(block, Sentences):
        return {"kind": "sentences", "lines": list(block.lines)}
    if isinstance(block, Warnings):
        return {"kind": "warnings", "lines": list(block.lines)}
    if isinstance(block, Table):
        rows = [[_cell(value) for value in row] for row in block.rows]
        return {
            "kind": "table",
            "caption": block.caption,
            "heads": list(block.heads),
            "rows": rows,
            "texts": list(block.texts),
        }
    if isinstance(block, Figure):
        drawings.append(draw_chart(block.chart, f"chart{len(drawings)}"))
        return {"kind": "figure", "drawing": len(drawings) - 1, "caption": block.caption}
    if isinstance(block, Gallery):
        first = len(drawings)
        drawings += [picture.svg for picture in block.pictures]
        captions = [picture.caption for picture in block.pictures]
        return {"kind": "gallery", "first": first, "captions": captions}
    raise TypeError(f"no print for a {type(block).__name__}")


def _cell(value: Cell | str) -> list[str]:
    cell = value if isinstance(value, Cell) else Cell(str(value))
    return [cell.text, ORIGIN_MARKS[cell.origin][0]]
