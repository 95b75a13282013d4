"""The store's rows in open formats: JSON, TOML, comma-separated tables, a spreadsheet. Each holds everything.

Tables that a spreadsheet program will open are kept harmless: a text that such a program could take for a
formula gets an apostrophe in front (and so does one that already begins with it, so that reading back takes
exactly one away). An apostrophe alone is the empty text; an empty cell is "nothing entered".
"""

from __future__ import annotations

import csv
import json
import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from forkwright.shop.dump import Dump, Row, Value, column_kinds
from forkwright.units import InputError

KIND = "forkwright shop export"
NAMES = {"json": "shop.json", "toml": "shop.toml", "csv": "csv", "xlsx": "shop.xlsx"}

# What spreadsheet programs take for the beginning of a formula, full-width forms included, and blanks that
# they skip before looking.
_RISKY_BEGINNINGS = tuple("=+-@\t\n\r '＝＋－＠")


def write_format(name: str, dump: Dump, folder: Path) -> Path:
    """Write a dump in one format into `folder` and return the file (or, for csv, the folder) it lies in."""
    from forkwright.shop.formats_sheet import write_xlsx

    target = folder / NAMES[name]
    {"json": _write_json, "toml": _write_toml, "csv": _write_csv, "xlsx": write_xlsx}[name](dump, target)
    return target


def read_format(source: Path) -> Dump:
    """Read what `write_format` wrote, known by the file's ending (or by being a folder of tables).

    Raises
    ------
    InputError
        Not such a file, or one that cannot be read; names the file and where it can the table and row.
    """
    from forkwright.shop.formats_sheet import read_xlsx

    if source.is_dir():
        return _read_csv(source)
    readers = {".json": _read_json, ".toml": _read_toml, ".xlsx": read_xlsx}
    reader = readers.get(source.suffix.lower())
    if reader is None or not source.is_file():
        raise InputError(
            "this is no export that can be read",
            file=str(source),
            allowed="shop.json, shop.toml, shop.xlsx or a csv folder",
        )
    try:
        return reader(source)
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror or error}", file=str(source)) from error


def guarded(text: str) -> str:
    """Return a text as it may stand in a table that a spreadsheet program opens.

    Examples
    --------
    >>> guarded("=1+1"), guarded("85 psi"), guarded(""), guarded("'so")
    ("'=1+1", '85 psi', "'", "''so")
    """
    return "'" + text if not text or text.startswith(_RISKY_BEGINNINGS) else text


def unguarded(cell: str) -> str:
    """Return the text that `guarded` was given."""
    return cell.removeprefix("'")


def as_value(cell: str, kind: type, *, place: str, file: Path) -> Value:
    """Return a table's cell as the value it stands for; an empty cell is nothing entered.

    Raises
    ------
    InputError
        The cell does not hold what the column needs.
    """
    if cell == "":
        return None
    if kind is str:
        return unguarded(cell)
    try:
        if kind is bool:
            return {"true": True, "false": False}[cell.lower()]
        number = int(cell) if kind is int else float(cell)
        if not math.isfinite(number):
            raise ValueError
        return number
    except (ValueError, KeyError, OverflowError) as error:
        words = "true or false" if kind is bool else "a number"
        raise InputError("cannot be read", file=str(file), key=place, value=cell, allowed=words) from error


def as_cell(value: Value) -> str:
    """Return a value as a table's cell (`as_value` reads it back)."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return guarded(value) if isinstance(value, str) else repr(value)


def columns_of(dump: Dump) -> dict[str, list[str]]:
    """Return the columns of every table in the dump, in the tables' own order."""
    kinds = column_kinds(dump.revision)
    return {name: list(kinds[name]) for name in dump.tables}


def _head(dump: Dump) -> dict[str, Any]:
    return {"kind": KIND, "format": 1, "revision": dump.revision}


def checked_head(head: Any, file: Path) -> str:
    """Return the tables' version that an export's head names, or say that it is no export."""
    if not isinstance(head, dict) or head.get("kind") != KIND:
        raise InputError("this is no export of a shop", file=str(file), key="kind", allowed=KIND)
    if str(head.get("format")) != "1":
        raise InputError("made by a newer program", file=str(file), key="format", allowed="1")
    return str(head.get("revision"))


def _write_json(dump: Dump, target: Path) -> None:
    with target.open("w", encoding="utf-8", newline="\n") as out:
        json.dump({**_head(dump), "tables": dump.tables}, out, ensure_ascii=False, allow_nan=False, indent=1)


def _read_json(source: Path) -> Dump:
    try:
        content = json.loads(source.read_text(encoding="utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"this is not JSON: {error}", file=str(source)) from error
    revision = checked_head(content, source)
    return Dump(revision, _as_tables(content.get("tables"), source))


def _write_toml(dump: Dump, target: Path) -> None:
    with target.open("w", encoding="utf-8", newline="\n") as out:
        for key, value in _head(dump).items():
            out.write(f"{key} = {_toml_value(value)}\n")
        out.write("\n# Every column of every table; a row leaves out what was not entered.\n[columns]\n")
        for name, columns in columns_of(dump).items():
            out.write(f"{name} = {json.dumps(columns)}\n")
        for name, rows in dump.tables.items():
            for row in rows:
                out.write(f"\n[[tables.{name}]]\n")
                out.writelines(
                    f"{key} = {_toml_value(value)}\n" for key, value in row.items() if value is not None
                )


def _toml_value(value: Value) -> str:
    """Return a value in TOML; its basic strings take JSON's escapes (TOML 1.0, "String")."""
    if isinstance(value, float):
        return repr(value)
    return json.dumps(value, ensure_ascii=False)


def _read_toml(source: Path) -> Dump:
    try:
        content = tomllib.loads(source.read_text(encoding="utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"this is not TOML: {error}", file=str(source)) from error
    revision = checked_head(content, source)
    columns = content.get("columns")
    if not isinstance(columns, dict) or not all(map(_are_names, columns.values())):
        raise InputError("the list of columns is missing", file=str(source), key="columns")
    tables = _as_tables(content.get("tables", {}), source)
    return Dump(
        revision,
        {
            name: [{**dict.fromkeys(names), **row} for row in tables.get(name, [])]
            for name, names in columns.items()
        },
    )


def _are_names(found: object) -> bool:
    return isinstance(found, list) and all(isinstance(name, str) for name in found)


def _write_csv(dump: Dump, target: Path) -> None:
    target.mkdir()
    with (target / "about.json").open("w", encoding="utf-8", newline="\n") as out:
        json.dump(_head(dump), out)
    for name, columns in columns_of(dump).items():
        with (target / f"{name}.csv").open("w", encoding="utf-8-sig", newline="") as out:
            writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
            writer.writerow(columns)
            writer.writerows([as_cell(row[column]) for column in columns] for row in dump.tables[name])


def _read_csv(source: Path) -> Dump:
    about = source / "about.json"
    try:
        revision = checked_head(json.loads(about.read_text(encoding="utf-8")), about)
    except (OSError, ValueError, RecursionError) as error:
        raise InputError("this folder holds no export of tables", file=str(about)) from error
    kinds = column_kinds(revision)
    tables: dict[str, list[Row]] = {}
    for path in sorted(source.glob("*.csv")):
        if path.stem not in kinds:
            raise InputError("the store has no such table", file=str(path), key=path.stem)
        tables[path.stem] = list(_csv_rows(path, kinds[path.stem]))
    return Dump(revision, tables)


def _csv_rows(path: Path, kinds: dict[str, tuple[type, bool]]) -> Iterator[Row]:
    longest = csv.field_size_limit(10_000_000)
    try:
        with path.open(encoding="utf-8-sig", newline="") as lines:
            reader = csv.reader(lines, strict=True)
            columns = next(reader, [])
            for row in reader:
                yield table_row(row, columns, kinds, place=f"line {reader.line_num}", file=path)
    except (csv.Error, UnicodeDecodeError) as error:
        raise InputError(f"this table cannot be read: {error}", file=str(path)) from error
    finally:
        csv.field_size_limit(longest)


def table_row(
    cells: list[str], columns: list[str], kinds: dict[str, tuple[type, bool]], *, place: str, file: Path
) -> Row:
    """Return one row of a table, with every cell as its column's value."""
    if len(cells) != len(columns):
        raise InputError(
            f"{place}: {len(cells)} cells for {len(columns)} columns", file=str(file), key=file.stem
        )
    row: Row = {}
    for column, cell in zip(columns, cells, strict=True):
        if column not in kinds:
            raise InputError("no such column", file=str(file), key=column)
        row[column] = as_value(cell, kinds[column][0], place=f"{place}, {column}", file=file)
    return row


def _as_tables(tables: Any, source: Path) -> dict[str, list[Row]]:
    sound = isinstance(tables, dict) and all(
        isinstance(rows, list) and all(isinstance(row, dict) for row in rows) for rows in tables.values()
    )
    if not sound:
        raise InputError("the tables are missing or not tables", file=str(source), key="tables")
    found: dict[str, list[Row]] = tables
    return found
