"""The store's rows as a spreadsheet: one sheet a table, texts as texts, never a formula."""

from __future__ import annotations

import zipfile
from collections import defaultdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from forkwright.shop.dump import Dump, Row, Value, column_kinds
from forkwright.shop.formats_tables import (
    as_cell,
    as_value,
    checked_head,
    columns_of,
    guarded,
    head_of,
    unguarded,
)
from forkwright.units import InputError

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

# A cell holds 32,767 characters (ECMA-376 part 1, 18.3.1.4 and the programs' own limit), counted in UTF-16
# units; longer texts go in pieces to a sheet of their own.
LONGEST_CELL = 16_000
LONG_TEXTS = "long texts"
ABOUT = "about"
_CREATED = datetime(2000, 1, 1)
_LARGEST_UNPACKED = 2_000_000_000  # bytes


def write_xlsx(dump: Dump, target: Path) -> None:
    """Write one sheet per table, one for what the file is, one for texts too long for a cell."""
    import xlsxwriter

    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(target, options) as book:
        book.set_properties({"created": _CREATED})  # the same rows, the same bytes
        about = book.add_worksheet(ABOUT)
        for line, (name, value) in enumerate(head_of(dump).items()):
            about.write_string(line, 0, name)
            about.write_string(line, 1, str(value))
        long_texts: list[tuple[str, int, str, int, str]] = []
        for name, columns in columns_of(dump).items():
            sheet = book.add_worksheet(name)
            sheet.freeze_panes(1, 0)
            for place, column in enumerate(columns):
                sheet.write_string(0, place, column)
            for line, row in enumerate(dump.tables[name], start=1):
                for place, column in enumerate(columns):
                    value = row[column]
                    if isinstance(value, str) and len(value) > LONGEST_CELL:
                        long_texts.extend(_pieces(name, line, column, value))
                        sheet.write_string(line, place, guarded(""))
                    else:
                        _write_cell(sheet, line, place, value)
        _write_long_texts(book.add_worksheet(LONG_TEXTS), long_texts)


def read_xlsx(source: Path) -> Dump:
    """Read what `write_xlsx` wrote.

    Raises
    ------
    InputError
        Not a spreadsheet, not an export, or a cell that does not fit its column.
    """
    import openpyxl

    try:
        with zipfile.ZipFile(source) as parts:
            if sum(part.file_size for part in parts.infolist()) > _LARGEST_UNPACKED:
                raise InputError("the spreadsheet is too large", file=str(source))
        book = openpyxl.load_workbook(source, read_only=True, data_only=True)
    except InputError:
        raise
    except Exception as error:  # the library raises whatever the damaged part makes it raise
        raise InputError("this spreadsheet cannot be read", file=str(source)) from error
    try:
        sheets = {
            sheet.title: [list(row) for row in sheet.iter_rows(values_only=True)] for sheet in book.worksheets
        }
    except Exception as error:
        raise InputError("this spreadsheet is damaged", file=str(source)) from error
    finally:
        book.close()
    head = {str(row[0]): str(row[1]) for row in sheets.pop(ABOUT, []) if len(row) > 1}
    revision = checked_head(head, source)
    long_texts = _joined(sheets.pop(LONG_TEXTS, []))
    kinds = column_kinds(revision)
    tables: dict[str, list[Row]] = {}
    for name, lines in sheets.items():
        if name not in kinds:
            raise InputError("the store has no such table", file=str(source), key=name)
        tables[name] = _rows(name, lines, kinds[name], long_texts, source)
    return Dump(revision, tables)


def _rows(
    name: str,
    lines: list[list[Any]],
    kinds: dict[str, tuple[type, bool]],
    long_texts: dict[tuple[str, int, str], str],
    source: Path,
) -> list[Row]:
    columns = [str(column) for column in lines[0]] if lines else []
    for column in columns:
        if column not in kinds:
            raise InputError("no such column", file=str(source), key=f"{name}.{column}")
    rows: list[Row] = []
    for number, cells in enumerate(lines[1:], start=1):
        padded = [*cells, *[None] * (len(columns) - len(cells))]
        row: Row = {}
        for column, cell in zip(columns, padded, strict=False):
            long_text = long_texts.get((name, number, column))
            place = f"{name}, row {number + 1}, {column}"
            row[column] = long_text or _value(cell, kinds[column][0], place, source)
        rows.append(row)
    return rows


def _value(cell: Any, kind: type, place: str, source: Path) -> Value:
    if cell is None:
        return None
    if kind is bool and isinstance(cell, bool):
        return cell
    if kind is int and isinstance(cell, float) and cell.is_integer():
        return int(cell)
    if kind in (int, float) and isinstance(cell, int | float) and not isinstance(cell, bool):
        return kind(cell) if kind is float else int(cell)
    return as_value(str(cell), kind, place=place, file=source)


def _write_cell(sheet: Worksheet, line: int, place: int, value: Value) -> None:
    if value is None:
        return
    if isinstance(value, bool):
        sheet.write_boolean(line, place, value)
    elif isinstance(value, str):
        sheet.write_string(line, place, guarded(value))
    elif float(f"{value:.16G}") == value:
        sheet.write_number(line, place, value)
    else:  # the format writes 16 digits; the few numbers that need 17 go as text
        sheet.write_string(line, place, as_cell(value))


def _pieces(name: str, line: int, column: str, text: str) -> list[tuple[str, int, str, int, str]]:
    starts = range(0, len(text), LONGEST_CELL)
    return [
        (name, line, column, number, text[start : start + LONGEST_CELL])
        for number, start in enumerate(starts)
    ]


def _write_long_texts(sheet: Worksheet, pieces: list[tuple[str, int, str, int, str]]) -> None:
    for place, title in enumerate(("table", "row", "column", "piece", "text")):
        sheet.write_string(0, place, title)
    for line, (name, row, column, number, text) in enumerate(pieces, start=1):
        sheet.write_string(line, 0, name)
        sheet.write_number(line, 1, row)
        sheet.write_string(line, 2, column)
        sheet.write_number(line, 3, number)
        sheet.write_string(line, 4, guarded(text))


def _joined(lines: list[list[Any]]) -> dict[tuple[str, int, str], str]:
    texts: dict[tuple[str, int, str], str] = defaultdict(str)
    for name, row, column, _number, text in (line[:5] for line in lines[1:]):
        texts[str(name), int(row), str(column)] += unguarded(str(text))
    return dict(texts)
