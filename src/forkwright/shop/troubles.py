"""What can go wrong with the store, each in words the shop can act on.

`StoreTrouble` and its children are faults of the disk, the file or the link: the command line prints the one
message and leaves with status 1. Wrong input is `forkwright.units.InputError`, and two people changing the
same record is `forkwright.shop.conflicts.Conflict`.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError


class StoreTrouble(RuntimeError):  # noqa: N818 - a state of the store, named as such
    """The store could not do what was asked; nothing was half done."""


class StoreFull(StoreTrouble):
    """No room left on the disk."""


class StoreReadOnly(StoreTrouble):
    """The disk or file can be read only."""


class StoreDamaged(StoreTrouble):
    """The file's pages no longer make sense: restore a backup."""


class StoreBusy(StoreTrouble):
    """Another writer held the store too long."""


class StoreUnreachable(StoreTrouble):
    """The file or the database server cannot be opened, or the link to it broke."""


class StoreOutdated(StoreTrouble):
    """The store was made by another version of the program."""


FULL = (
    "The disk with the shop's store is full. Nothing of this change was saved; free some room and repeat it."
)
READ_ONLY = "The shop's store can only be read (read-only disk or file). Nothing was saved."
DAMAGED = (
    "The shop's store is damaged: {detail}. Stop writing to it. "
    "`forkwright shop restore BACKUP` puts a backup in its place and keeps the damaged file beside it."
)
BUSY = (
    "Another program is writing to the shop's store and did not finish in time. Nothing was saved; repeat it."
)
UNOPENED = "The shop's store cannot be opened: {detail}"
DROPPED = (
    "The link to the database server broke. If the change was just being saved it may or may not be there: "
    "look before repeating it."
)

_SQLITE_TROUBLE: dict[int, tuple[type[StoreTrouble], str]] = {
    sqlite3.SQLITE_FULL: (StoreFull, FULL),
    sqlite3.SQLITE_READONLY: (StoreReadOnly, READ_ONLY),
    sqlite3.SQLITE_CORRUPT: (StoreDamaged, DAMAGED),
    sqlite3.SQLITE_NOTADB: (StoreDamaged, DAMAGED),
    sqlite3.SQLITE_BUSY: (StoreBusy, BUSY),
    sqlite3.SQLITE_LOCKED: (StoreBusy, BUSY),
    sqlite3.SQLITE_CANTOPEN: (StoreUnreachable, UNOPENED),
}
# A write that the system cuts short comes back as an input/output error: no room, file too large, bad disk.
_WRITE_CUT_SHORT = {sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_TRUNCATE, sqlite3.SQLITE_IOERR_SHMSIZE}
# PostgreSQL's own five-letter states (its manual, appendix "Error Codes").
_POSTGRES_TROUBLE: dict[str, tuple[type[StoreTrouble], str]] = {
    "53100": (StoreFull, FULL),
    "25006": (StoreReadOnly, READ_ONLY),
    "55P03": (StoreBusy, BUSY),
    "40P01": (StoreBusy, BUSY),
    "40001": (StoreBusy, BUSY),
    "XX001": (StoreDamaged, DAMAGED),
    "XX002": (StoreDamaged, DAMAGED),
    "57P01": (StoreUnreachable, DROPPED),
}


@contextmanager
def plain_words() -> Iterator[None]:
    """Turn a database driver's error inside the block into a `StoreTrouble` with advice.

    Raises
    ------
    StoreTrouble
        One of its children, when the driver's error is of the disk, the file or the link. Errors that are our
        own mistake (a broken statement) pass unchanged.
    """
    try:
        yield
    except DBAPIError as error:
        trouble = _trouble_of(error)
        if trouble is None:
            raise
        raise trouble from error
    except sqlite3.Error as error:
        trouble = _sqlite_trouble(error)
        if trouble is None:
            raise
        raise trouble from error


def trouble_of_file(error: OSError, path: Path) -> StoreTrouble:
    """Return the trouble behind a failed read or write of a file beside the store."""
    if error.errno in (errno.ENOSPC, errno.EFBIG, errno.EDQUOT):
        return StoreFull(FULL)
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return StoreReadOnly(f"{path} cannot be written: {error.strerror}.")
    return StoreTrouble(f"{path}: {error.strerror or error}.")


def _trouble_of(error: DBAPIError) -> StoreTrouble | None:
    cause = error.orig
    if isinstance(cause, sqlite3.Error):
        return _sqlite_trouble(cause)
    state = getattr(cause, "sqlstate", None)
    if state in _POSTGRES_TROUBLE:
        kind, words = _POSTGRES_TROUBLE[state]
        return kind(words.format(detail=cause))
    if error.connection_invalidated:
        return StoreUnreachable(DROPPED)
    if state is None and type(cause).__name__ == "OperationalError":
        return StoreUnreachable(UNOPENED.format(detail=_first_line(cause)))
    return None


def _sqlite_trouble(error: sqlite3.Error) -> StoreTrouble | None:
    code = getattr(error, "sqlite_errorcode", 0)
    if code in _WRITE_CUT_SHORT:
        return StoreFull(FULL)
    kind, words = _SQLITE_TROUBLE.get(code & 0xFF, (None, ""))
    if kind is None:
        if code & 0xFF == sqlite3.SQLITE_IOERR:
            return StoreTrouble(
                f"The disk with the shop's store failed ({_first_line(error)}). Nothing was saved."
            )
        return None
    return kind(words.format(detail=_first_line(error)))


def _first_line(error: BaseException | None) -> str:
    return (str(error).splitlines() or ["no reason given"])[0]
