"""What a report consists of, before anyone decides whether it becomes a page or a print.

A report is a list of blocks in reading order. The same blocks go to `html_report` and to `pdf_report`; texts
are plain text throughout, and it is the writers' task to keep them so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from forkwright.sheets.chart import Chart


@dataclass(frozen=True)
class Heading:
    """A section's title."""

    text: str


@dataclass(frozen=True)
class Sentences:
    """A paragraph of computed sentences."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Warnings:
    """What the reader must not miss: limits passed, values out of range."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Cell:
    """A table entry with its provenance: measured values carry no mark, the others do."""

    text: str
    origin: str = "measured"


@dataclass(frozen=True)
class Table:
    """A table: a caption, column heads, rows of cells or plain text; the first column names the row.

    `texts` are the columns (counted from 0) that hold words and not figures: a print gives them room.
    """

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell | str, ...], ...]
    texts: tuple[int, ...] = ()


@dataclass(frozen=True)
class Figure:
    """A chart with its caption."""

    chart: Chart
    caption: str = ""


@dataclass(frozen=True)
class Picture:
    """A drawing (SVG written by this room) with its caption."""

    svg: str
    caption: str


@dataclass(frozen=True)
class Gallery:
    """Drawings side by side."""

    pictures: tuple[Picture, ...]


@dataclass(frozen=True)
class Moving:
    """A cut-away that a page can move through the travel."""

    picture: Picture
    motion: dict[str, Any]
    name: str


@dataclass(frozen=True)
class Movers:
    """Cut-aways side by side that one slider moves together; a print leaves them out."""

    items: tuple[Moving, ...]


Block = Heading | Sentences | Warnings | Table | Figure | Gallery | Movers


@dataclass(frozen=True)
class Report:
    """A whole report.

    Attributes
    ----------
    title, subtitle : str
        Plain text.
    blocks : tuple of Block
        In reading order.
    fingerprints : tuple of str
        Of the inputs that made it, so that a print can be traced to its files.
    """

    title: str
    subtitle: str
    blocks: tuple[Block, ...]
    fingerprints: tuple[str, ...] = field(default=())


#: The marks behind values that were not measured, with what they mean.
ORIGIN_MARKS: dict[str, tuple[str, str]] = {
    "assumed": ("ᵃ", "assumed, not measured"),
    "fitted": ("ᶠ", "fitted to a recorded trace"),
    "computed": ("", ""),
    "measured": ("", ""),
}


def origins_in(report: Report) -> tuple[str, ...]:
    """Return the origins that some cell of the report bears a mark for, in a fixed order."""
    found = {
        cell.origin
        for block in report.blocks
        if isinstance(block, Table)
        for row in block.rows
        for cell in row
        if isinstance(cell, Cell) and ORIGIN_MARKS[cell.origin][0]
    }
    return tuple(origin for origin in ORIGIN_MARKS if origin in found)


def has_bands(report: Report) -> bool:
    """Return whether some chart of the report has a band, so that its meaning must be told."""
    figures = [block for block in report.blocks if isinstance(block, Figure)]
    return any(line.low is not None for figure in figures for line in figure.chart.lines)
