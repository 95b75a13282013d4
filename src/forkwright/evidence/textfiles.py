"""Text tables and sheet rows read into columns, with what is broken in them named."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl

from forkwright.evidence.limits import DEFAULT_LIMITS, Limits, check_values
from forkwright.evidence.text_layout import MISSING, Layout, fields_of, find_layout, place_header
from forkwright.physics.values import Array
from forkwright.units import InputError

_MARK = b"\xef\xbb\xbf"  # passed over by the table library

Columns = dict[str, "Array | pl.Series"]
"""Columns by header: numbers with NaN where one is missing, or text as a polars Series."""


def read_text(
    path: Path, limits: Limits = DEFAULT_LIMITS, progress: Callable[[float], None] | None = None
) -> tuple[Columns, tuple[str, ...]]:
    """Read a CSV or TSV file of any common layout.

    Parameters
    ----------
    path : Path
        The file.
    limits : Limits
        Upper bounds; bytes and values.
    progress : callable, optional
        Told the share read, 0 to 1; may raise to stop.

    Returns
    -------
    columns : dict of str to ndarray or polars.Series
        Numbers with NaN where a value is missing; text.
    notes : tuple of str
        Faults that were worked around, each named.

    Raises
    ------
    InputError
        If the file is no text table, or a row has more fields than the header.
    """
    layout = find_layout(path)
    check_values(path, 0, len(layout.names), limits)
    bad: tuple[str, ...] = ()
    try:
        if layout.mixed_decimals:
            columns, bad = _read_leniently(path, layout, limits)
        else:
            columns = _read_in_batches(path, layout, limits, progress)
    except pl.exceptions.PolarsError:
        columns, bad = _read_leniently(path, layout, limits)
    columns, cut = _without_cut_row(path, layout, columns)
    return columns, layout.notes + bad + cut


def read_rows(path: Path, rows: list[list[object]]) -> tuple[Columns, tuple[str, ...]]:
    """Turn the rows of a sheet into a table, finding the header as in a text file.

    Parameters
    ----------
    path : Path
        Named in messages.
    rows : list of list
        Cells as numbers, text or None.
    """
    cells = [["" if c is None else str(c) for c in row] for row in rows]
    width = max((len(row) for row in cells), default=0)
    cells = [row + [""] * (width - len(row)) for row in cells]
    if not cells:
        raise InputError("there is no text in the sheet", file=str(path))
    layout = place_header(path, "utf-8", "\t", [[_printable(c) for c in row] for row in cells[:400]])
    columns: Columns = {}
    notes = list(layout.notes)
    for i, (name, numeric) in enumerate(zip(layout.names, layout.numeric, strict=True)):
        column = pl.Series(name, [row[i] or None for row in cells[layout.first_row :]], dtype=pl.String)
        columns[name] = _numbers(column, layout, notes) if numeric else column
    return columns, tuple(notes)


def _printable(cell: str) -> str:
    return " ".join(cell.split())


def _read_in_batches(
    path: Path, layout: Layout, limits: Limits, progress: Callable[[float], None] | None
) -> Columns:
    """Read batch by batch straight into one array per column, so that no second copy is ever held."""
    scan = _scan(path, layout)
    room = _rows_expected(path, layout)
    numbers = {n: np.empty(room) for n, numeric in zip(layout.names, layout.numeric, strict=True) if numeric}
    texts: dict[str, list[pl.Series]] = {n: [] for n in layout.names if n not in numbers}
    rows = 0
    for batch in scan.collect_batches(maintain_order=True):
        check_values(path, rows + batch.height, batch.width, limits)
        if rows + batch.height > room:
            room = int(1.5 * (rows + batch.height))
            numbers = {name: np.concatenate([v[:rows], np.empty(room - rows)]) for name, v in numbers.items()}
        for name, target in numbers.items():
            at = rows
            for chunk in batch[name].get_chunks():
                target[at : at + len(chunk)] = chunk.to_numpy()
                at += len(chunk)
        for name, parts in texts.items():
            parts.append(batch[name])
        rows += batch.height
        if progress is not None:
            progress(min(1.3 * rows / room, 1.0))
    return {
        name: numbers[name][:rows] if name in numbers else _joined(name, texts[name]) for name in layout.names
    }


def _joined(name: str, parts: list[pl.Series]) -> pl.Series:
    return pl.concat(parts) if parts else pl.Series(name, [], dtype=pl.String)


def _rows_expected(path: Path, layout: Layout) -> int:
    """A generous guess from the length of the first lines; room that is never written costs nothing."""
    with path.open("rb") as file:
        head = file.read(65_536)
    lines = max(head.count(layout.line_end.encode()), 1)
    return int(1.3 * path.stat().st_size * lines / len(head)) + 16


def _scan(path: Path, layout: Layout, as_text: bool = False) -> pl.LazyFrame:
    kinds = [pl.Float64 if n and not as_text else pl.String for n in layout.numeric]
    return pl.scan_csv(
        _source(path, layout),
        has_header=False,
        schema=dict(zip(layout.names, kinds, strict=True)),
        separator=layout.delimiter,
        decimal_comma=layout.decimal_comma,
        skip_lines=layout.first_row,
        # only empty fields are nulls here: naming other words would cost half as much time again, so a file
        # with such words is read a second time as text (see _read_leniently)
        truncate_ragged_lines=False,
        eol_char=layout.line_end,
        glob=False,
    )


def _source(path: Path, layout: Layout) -> Path | io.BytesIO:
    """Return what the table library reads: the file itself, or its text in the one encoding that it knows."""
    is_utf8 = layout.encoding in ("utf-8", "utf-8-sig")
    with path.open("rb") as file:
        looks_packed = file.read(2) == b"x^"  # so begins "x^2" too, which the library would unpack
    if is_utf8 and not looks_packed:
        return path
    text = path.read_bytes().decode(layout.encoding, errors="replace").removeprefix("\ufeff")
    return io.BytesIO(_MARK + text.encode("utf-8"))


def _read_leniently(path: Path, layout: Layout, limits: Limits) -> tuple[Columns, tuple[str, ...]]:
    """Read again after a fault: name a row with too many fields, and take unreadable cells as missing."""
    try:
        text = _scan(path, layout, as_text=True).collect()
    except pl.exceptions.PolarsError as fault:
        raise _ragged(path, layout, fault) from None
    check_values(path, text.height, text.width, limits)
    notes: list[str] = []
    columns: Columns = {
        name: _numbers(text[name], layout, notes) if numeric else text[name]
        for name, numeric in zip(layout.names, layout.numeric, strict=True)
    }
    return columns, tuple(notes)


def _numbers(column: pl.Series, layout: Layout, notes: list[str]) -> Array:
    """Return the column as numbers; what is no number counts as missing and is named in `notes`."""
    cleaned = column.str.strip_chars()
    if layout.decimal_comma:
        cleaned = cleaned.str.replace(",", ".", literal=True)
    values = cleaned.cast(pl.Float64, strict=False)
    values = values.set(~values.is_finite().fill_null(False), None)
    unreadable = values.is_null() & column.is_not_null() & ~cleaned.is_in(MISSING)
    count = int(unreadable.sum())
    if count:
        row = int(unreadable.arg_max() or 0)
        notes.append(
            f"column '{column.name}': {count} cell{'s' if count > 1 else ''} could not be read as a number "
            f"and count{'' if count > 1 else 's'} as missing; the first is {column[row][:40]!r} "
            f"in line {layout.first_row + row + 1}"
        )
    return np.array(values.to_numpy(), dtype=np.float64)


def _ragged(path: Path, layout: Layout, fault: Exception) -> InputError:
    """Find the first row with more fields than the header; only reached when reading has failed."""
    width = len(layout.names)
    with path.open(encoding=layout.encoding, errors="replace", newline="") as file:
        for number, line in enumerate(file, start=1):
            if (
                number > layout.first_row
                and len(fields := fields_of(line.rstrip("\r\n"), layout.delimiter)) > width
            ):
                return InputError(
                    "the row has more fields than the header",
                    file=str(path),
                    line=number,
                    value=f"{len(fields)} fields",
                    allowed=f"{width} fields",
                )
    return InputError(f"the table cannot be read: {str(fault).splitlines()[0]}", file=str(path))


def _without_cut_row(path: Path, layout: Layout, columns: Columns) -> tuple[Columns, tuple[str, ...]]:
    """Drop a last row that was cut off in the middle."""
    with path.open("rb") as file:
        file.seek(max(0, path.stat().st_size - 8192))
        tail = file.read().decode(layout.encoding.replace("-sig", ""), errors="ignore")
    lines = [line.strip("\r") for line in tail.split(layout.line_end)]
    rows = len(next(iter(columns.values())))
    if not lines[-1].strip() or rows < 2 or len(lines) < 2:  # of a longer last line only the end was read
        return columns, ()
    number = layout.first_row + rows
    last, before = (fields_of(line, layout.delimiter) for line in (lines[-1], lines[-2]))
    if len(last) < len(layout.names):
        why = f"the file ends in the middle of line {number}"
    elif len(before) == len(last) and _decimals(last[-1]) < _decimals(before[-1]):
        why = f"the file ends without a line end, and the last number of line {number} is short"
    else:
        return columns, ()
    return {name: column[: rows - 1] for name, column in columns.items()}, (f"{why}: that line was left out",)


def _decimals(cell: str) -> int:
    """Return how many digits stand behind the decimal mark."""
    return len(cell.strip().replace(",", ".").partition(".")[2])
