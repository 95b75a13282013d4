"""The whole store as plain rows, out of and into either database: what backup, export and import share."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Float,
    Integer,
    MetaData,
    Table,
    create_engine,
    func,
    insert,
    select,
    text,
)
from sqlalchemy import delete as erase
from sqlalchemy.pool import StaticPool

from forkwright.shop.migrate import upgrade_on, versions
from forkwright.shop.migrations import NEWEST
from forkwright.shop.tables import ACCOUNT_TABLES, NEVER_COPIED
from forkwright.shop.words import clean_text
from forkwright.units import InputError

Value = str | int | float | bool | None
Row = dict[str, Value]
Progress = Callable[[int, int, str], None]
"""Called with (done, total, what); raise from it to stop."""

_AT_ONCE = 500  # rows


@dataclass(frozen=True)
class Dump:
    """Every row of the store, by table, with the version of the tables they were read from."""

    revision: str
    tables: dict[str, list[Row]]

    def counts(self) -> dict[str, int]:
        """Return the number of rows by table."""
        return {name: len(rows) for name, rows in self.tables.items()}


def read_dump(connection: Connection, *, accounts: bool) -> Dump:
    """Read every row; `accounts` says whether accounts and their trail come along. Sessions never do."""
    revision = str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one())
    tables: dict[str, list[Row]] = {}
    for table in _tables_of(connection):
        if table.name in NEVER_COPIED or (table.name in ACCOUNT_TABLES and not accounts):
            continue
        ordered = select(table).order_by(*table.primary_key.columns)
        if table.name == "history" and not accounts:
            ordered = ordered.where(table.c.table_name.not_in(ACCOUNT_TABLES))
        tables[table.name] = [dict(row) for row in connection.execute(ordered).mappings()]
    return Dump(revision=revision, tables=tables)


def write_dump(
    connection: Connection, dump: Dump, *, replace: bool, progress: Progress | None = None
) -> None:
    """Put every row of a dump into the store, within the caller's transaction.

    Parameters
    ----------
    connection : Connection
        To tables of the newest version.
    replace : bool
        Take away what is there first. Without it the store must be empty.

    Raises
    ------
    InputError
        The store is not empty, or a row does not fit its table.
    """
    dump = brought_up(dump)
    tables = _tables_of(connection)
    if not replace and not _is_empty(connection, tables):
        raise InputError("the store is not empty; replacing what is there must be asked for", key="replace")
    kept_accounts = "account" not in dump.tables
    for table in reversed(tables):
        if not (kept_accounts and table.name in ACCOUNT_TABLES):
            connection.execute(erase(table))
    total, done = sum(dump.counts().values()), 0
    for table in tables:
        rows = dump.tables.get(table.name, [])
        for start in range(0, len(rows), _AT_ONCE):
            connection.execute(insert(table), rows[start : start + _AT_ONCE])
            done += len(rows[start : start + _AT_ONCE])
            if progress is not None:
                progress(done, total, f"writing {table.name}")
    _go_on_counting(connection)


def brought_up(dump: Dump) -> Dump:
    """Return the dump as rows of the newest version, after checking that they fit their own.

    Raises
    ------
    InputError
        From a newer program, an unknown version, or rows that do not fit.
    """
    check_rows(dump)
    if dump.revision == NEWEST:
        return dump
    with closing(_scratch(dump.revision)) as connection, connection.begin():
        for table in _tables_of(connection):
            connection.execute(erase(table))
        for table in _tables_of(connection):
            rows = dump.tables.get(table.name, [])
            if rows:
                connection.execute(insert(table), rows)
        upgrade_on(connection)
        newer = read_dump(connection, accounts=True)
    had_accounts = "account" in dump.tables
    kept = {name: rows for name, rows in newer.tables.items() if had_accounts or name not in ACCOUNT_TABLES}
    return Dump(revision=NEWEST, tables=kept)


def check_rows(dump: Dump) -> None:
    """Say which table, row and column does not fit the tables of the dump's version. Raises InputError."""
    for table, misfit in misfits(dump):
        raise InputError(misfit, key=table)


def misfits(dump: Dump) -> Iterator[tuple[str, str]]:
    """Return, as (table, what), every row that no store would take: `load` refuses a dump with any."""
    kinds = column_kinds(dump.revision)
    for name, rows in dump.tables.items():
        if name not in kinds or name in NEVER_COPIED:
            yield name, "the store has no such table"
            continue
        for place, row in enumerate(rows, start=1):
            for misfit in _misfits(row, kinds[name]):
                yield name, f"row {place}: {misfit}"


@cache
def column_kinds(revision: str) -> dict[str, dict[str, tuple[type, bool]]]:
    """Return, for every table of a version, each column's Python type and whether it may be empty."""
    if revision not in versions():
        raise InputError(
            "made by a version of the tables that this program does not know",
            key="revision",
            value=revision,
            allowed=", ".join(versions()),
        )
    with closing(_scratch(revision)) as connection:
        return {
            table.name: {column.name: (_kind_of(column), bool(column.nullable)) for column in table.columns}
            for table in _tables_of(connection)
        }


def _misfits(row: Row, kinds: dict[str, tuple[type, bool]]) -> Iterator[str]:
    for column in row:
        if column not in kinds:
            yield f"no such column: {column}"
    for column, (kind, may_be_empty) in kinds.items():
        if column not in row:
            yield f"column {column} is missing"
        elif row[column] is None:
            if not may_be_empty:
                yield f"column {column} must not be empty"
        elif isinstance(row[column], str) and kind is str:
            yield from _unkeepable(column, str(row[column]))
        elif type(row[column]) is not kind and not (kind is float and type(row[column]) is int):
            yield f"column {column} must be {_KIND_WORDS[kind]}, not {row[column]!r:.60}"
        elif not _in_range(column, row[column]):
            yield f"column {column} is out of range"


_PROGRAM_S_WORDS = ("search_text", "state")


def _unkeepable(column: str, value: str) -> Iterator[str]:
    try:
        # Books of earlier days hold search words that were taken apart: nobody typed them, none is refused.
        own = column not in _PROGRAM_S_WORDS
        if clean_text(value, what=column, longest=len(value)) != value and own:
            yield f"column {column} is not in the store's own form of text"
    except InputError as error:
        yield str(error)


def _in_range(column: str, value: Value) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    return not isinstance(value, int) or abs(value) < (2**63 if column == "seq" else 2**31)


_KIND_WORDS: dict[type, str] = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}


def _kind_of(column: Column[Any]) -> type:
    if isinstance(column.type, Boolean):
        return bool
    if isinstance(column.type, Integer):
        return int
    return float if isinstance(column.type, Float) else str


def _tables_of(connection: Connection) -> list[Table]:
    metadata = MetaData()
    metadata.reflect(connection)
    return [table for table in metadata.sorted_tables if table.name != "alembic_version"]


def _is_empty(connection: Connection, tables: list[Table]) -> bool:
    return not any(
        connection.execute(select(func.count()).select_from(table)).scalar()
        for table in tables
        if table.name != "counter" and table.name not in ACCOUNT_TABLES
    )


def _go_on_counting(connection: Connection) -> None:
    """Let PostgreSQL's own numbering of the audit trail go on after the rows that were put in."""
    if connection.dialect.name == "postgresql":
        connection.execute(
            text(
                "SELECT setval(pg_get_serial_sequence('history', 'seq'), "
                "(SELECT coalesce(max(seq), 0) + 1 FROM history), false)"
            )
        )


def _scratch(revision: str) -> Connection:
    """Return a connection to an empty store in memory with the tables of that version."""
    engine = create_engine("sqlite://", poolclass=StaticPool)
    with engine.begin() as connection:
        upgrade_on(connection, revision)
    return engine.connect()
