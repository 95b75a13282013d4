"""How each database is opened: what is saved survives a crash, and a lost link shows."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import NullPool

from forkwright.shop.troubles import READ_ONLY, StoreReadOnly, StoreUnreachable
from forkwright.units import InputError


def is_server(where: str | Path) -> bool:
    """Return whether `where` is a PostgreSQL address and not a file."""
    return isinstance(where, str) and where.startswith(
        ("postgresql://", "postgres://", "postgresql+psycopg://")
    )


def make_engine(where: str | Path, *, read_only: bool = False, wait: float = 10.0) -> Engine:
    """Return the SQLAlchemy engine for a file or a server.

    Parameters
    ----------
    where : str or Path
        File path or ``postgresql://`` address.
    read_only : bool
        Open a file on a disk that cannot be written.
    wait : float
        How long to wait for another writer (file) or for the server to answer, in s.
    """
    if is_server(where):
        return _server_engine(str(where), wait)
    return _file_engine(Path(where), read_only, wait)


def shown_address(engine: Engine) -> str:
    """Return the file or server with the password hidden."""
    if engine.dialect.name == "sqlite":
        return str(engine.url.query.get("shown", engine.url.database))
    return engine.url.render_as_string(hide_password=True)


def _file_engine(path: Path, read_only: bool, wait: float) -> Engine:
    address = _file_address(path, read_only)

    def connect() -> sqlite3.Connection:
        try:
            return prepared()
        except sqlite3.OperationalError as error:
            if not read_only and path.exists() and not os.access(path.parent, os.W_OK):
                raise StoreReadOnly(f"{READ_ONLY} Start the workbench again to look at it.") from error
            raise

    def prepared() -> sqlite3.Connection:
        connection = sqlite3.connect(
            address, uri=True, timeout=wait, isolation_level=None, check_same_thread=False
        )
        try:
            connection.execute("PRAGMA foreign_keys = ON")
            if not read_only:
                connection.execute("PRAGMA journal_mode = WAL")
                connection.execute("PRAGMA synchronous = FULL")
        except BaseException:
            connection.close()
            raise
        return connection

    engine = create_engine(f"sqlite:///{path}", creator=connect, poolclass=NullPool)
    event.listen(engine, "begin", _begin)
    return engine


def _file_address(path: Path, read_only: bool) -> str:
    plain = "file:" + quote(str(path.absolute()))
    if not read_only:
        return plain
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size > 0:
        raise StoreUnreachable(
            f"{path} lies on a read-only disk with changes still in {log.name}. "
            "Copy the whole folder to a disk that can be written and open it there."
        )
    return plain + "?mode=ro&immutable=1"


def _begin(connection: Connection) -> None:
    """Take the writer's place at once, so that two writers queue instead of failing half-way."""
    looking = connection.get_execution_options().get("looking", False)
    connection.exec_driver_sql("BEGIN" if looking else "BEGIN IMMEDIATE")


def _server_engine(where: str, wait: float) -> Engine:
    try:
        url = make_url(where).set(drivername="postgresql+psycopg")
    except ArgumentError as error:
        raise InputError(
            "the server's address cannot be read", key="store", allowed="postgresql://name@host/database"
        ) from error
    arguments: dict[str, Any] = {
        "connect_timeout": max(2, round(wait)),
        "application_name": "forkwright",
        "options": f"-c lock_timeout={max(1, round(wait * 1000))}",
    }
    return create_engine(url, pool_pre_ping=True, connect_args=arguments)
