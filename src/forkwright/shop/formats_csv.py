"""The store's rows as comma-separated tables, one file a table."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

from forkwright.shop.dump import Dump, Row, column_kinds
from forkwright.shop.formats_tables import as_cell, as_value, checked_head, columns_of, head_of
from forkwright.units import InputError


def write_csv(dump: Dump, target: Path) -> None:
    """Write a folder of one table each, and a small file that says what it is."""
    target.mkdir()
    with (target / "about.json").open("w", encoding="utf-8", newline="\n") as out:
        json.dump(head_of(dump), out)
    for name, columns in columns_of(dump).items():
        with (target / f"{name}.csv").open("w", encoding="utf-8-sig", newline="") as out:
            writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
            writer.writerow(columns)
            writer.writerows([as_cell(row[column]) for column in columns] for row in dump.tables[name])


def read_csv(source: Path) -> Dump:
    """Read what `write_csv` wrote. Raises InputError naming table and line."""
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
                yield _table_row(row, columns, kinds, place=f"line {reader.line_num}", file=path)
    except (csv.Error, UnicodeDecodeError) as error:
        raise InputError(f"this table cannot be read: {error}", file=str(path)) from error
    finally:
        csv.field_size_limit(longest)


def _table_row(
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
