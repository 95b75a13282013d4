"""Tables out to CSV or XLSX, with text that a spreadsheet would take for a formula made harmless."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from forkwright.units import InputError

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
Cell = str | float | int | None


def harmless(cell: Cell) -> Cell:
    """Return text that would start a formula with an apostrophe before it; numbers stay as they are.

    Notes
    -----
    Source: common practice against formula injection (OWASP, "CSV Injection", from memory).

    Examples
    --------
    >>> harmless("=2+3"), harmless(-4.0), harmless("Dunlin 160")
    ("'=2+3", -4.0, 'Dunlin 160')
    """
    if isinstance(cell, str) and cell.lstrip(" \ufeff").startswith(_FORMULA_STARTS):
        return "'" + cell
    return cell


def write_table(path: str | Path, columns: Mapping[str, Sequence[Cell]]) -> Path:
    """Write columns of equal length as CSV, or as XLSX where the name says so.

    Parameters
    ----------
    path : str or Path
        Ending in .csv or .xlsx.
    columns : mapping of str to sequence
        Header to cells; a missing cell is None.

    Raises
    ------
    InputError
        If the name ends in neither, or the file cannot be written.
    """
    path = Path(path)
    if path.suffix.lower() not in _WRITERS:
        raise InputError("unknown kind of table", file=str(path), allowed=", ".join(_WRITERS))
    try:
        path.write_bytes(table_bytes(columns, path.suffix))
    except OSError as fault:
        raise InputError(f"cannot be written: {fault.strerror or fault}", file=str(path)) from None
    return path


def table_bytes(columns: Mapping[str, Sequence[Cell]], suffix: str) -> bytes:
    """Return columns of equal length as the content of a file whose name ends in `suffix`.

    Parameters
    ----------
    columns : mapping of str to sequence
        Header to cells; a missing cell is None.
    suffix : str
        ".csv" or ".xlsx".

    Examples
    --------
    >>> table_bytes({"name": ["moor"], "sag_m": [0.04]}, ".csv")
    b'name,sag_m\\r\\nmoor,0.04\\r\\n'
    """
    rows = list(zip(*columns.values(), strict=True))
    return _WRITERS[suffix.lower()](list(columns), rows)


def _csv(headers: list[str], rows: list[tuple[Cell, ...]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow([harmless(h) for h in headers])
    writer.writerows([[harmless(c) for c in row] for row in rows])
    return text.getvalue().encode("utf-8")


def _xlsx(headers: list[str], rows: list[tuple[Cell, ...]]) -> bytes:
    import xlsxwriter

    harmless_only = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    content = io.BytesIO()
    with xlsxwriter.Workbook(content, {"in_memory": True, **harmless_only}) as book:
        page = book.add_worksheet()
        for y, row in enumerate([tuple(headers), *rows]):
            for x, cell in enumerate(row):
                if isinstance(cell, str):
                    page.write_string(y, x, str(harmless(cell)))
                elif cell is not None:
                    page.write_number(y, x, cell)
    return content.getvalue()


_WRITERS = {".csv": _csv, ".xlsx": _xlsx}
