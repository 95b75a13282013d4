"""The store's rows in open formats: JSON, TOML, tables, a spreadsheet. Each holds everything."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

from forkwright.shop.dump import Dump, Row, Value
from forkwright.shop.formats_csv import read_csv, write_csv
from forkwright.shop.formats_sheet import read_xlsx, write_xlsx
from forkwright.shop.formats_tables import checked_head, columns_of, head_of
from forkwright.units import InputError

NAMES = {"json": "shop.json", "toml": "shop.toml", "csv": "csv", "xlsx": "shop.xlsx"}


def write_format(name: str, dump: Dump, folder: Path) -> Path:
    """Write a dump in one format into `folder` and return the file (or, for csv, the folder) it lies in."""
    target = folder / NAMES[name]
    {"json": _write_json, "toml": _write_toml, "csv": write_csv, "xlsx": write_xlsx}[name](dump, target)
    return target


def read_format(source: Path) -> Dump:
    """Read what `write_format` wrote, known by the file's ending (or by being a folder of tables).

    Raises
    ------
    InputError
        Not such a file, or one that cannot be read; names the file and where it can the table and row.
    """
    if source.is_dir():
        return read_csv(source)
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


def _write_json(dump: Dump, target: Path) -> None:
    with target.open("w", encoding="utf-8", newline="\n") as out:
        json.dump(
            {**head_of(dump), "tables": dump.tables}, out, ensure_ascii=False, allow_nan=False, indent=1
        )


def _read_json(source: Path) -> Dump:
    try:
        content = json.loads(source.read_text(encoding="utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"this is not JSON: {error}", file=str(source)) from error
    revision = checked_head(content, source)
    return Dump(revision, _as_tables(content.get("tables"), source))


def _write_toml(dump: Dump, target: Path) -> None:
    with target.open("w", encoding="utf-8", newline="\n") as out:
        for key, value in head_of(dump).items():
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


def _as_tables(tables: Any, source: Path) -> dict[str, list[Row]]:
    sound = isinstance(tables, dict) and all(
        isinstance(rows, list) and all(isinstance(row, dict) for row in rows) for rows in tables.values()
    )
    if not sound:
        raise InputError("the tables are missing or not tables", file=str(source), key="tables")
    found: dict[str, list[Row]] = tables
    return found
