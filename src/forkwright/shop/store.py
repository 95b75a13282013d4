"""The one store of the shop: a file beside the program, or a PostgreSQL server that several benches share.

store = Store.open("shop.sqlite3")
with store.change(actor="Ines") as session:      # saved as a whole when the block ends, or not at all
    add_customer(session, name="Oda Brandt")
with store.look() as session:                     # reads one consistent picture
    ...
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self, TypeVar

from sqlalchemy import Connection, Engine, text
from sqlalchemy import inspect as look_at
from sqlalchemy.orm import Session, sessionmaker

from forkwright.shop.columns import Clock, Record, wall_clock
from forkwright.shop.engine import is_server, make_engine, shown_address
from forkwright.shop.history import watch
from forkwright.shop.migrations import NEWEST
from forkwright.shop.troubles import StoreOutdated, StoreReadOnly, StoreUnreachable, plain_words
from forkwright.units import InputError

AnyRecord = TypeVar("AnyRecord", bound=Record)


class ShopSession(Session):
    """A session that cleans, stamps and audits what it saves."""


watch(ShopSession)


class Store:
    """The open store. Safe to share between threads; sessions are not.

    Attributes
    ----------
    address : str
        File or server, without a password.
    picture_folder : Path
        Where picture bytes lie, by digest.
    read_only : bool
        True when the disk cannot be written; `change` then refuses.
    """

    def __init__(self, engine: Engine, *, picture_folder: Path, clock: Clock, read_only: bool) -> None:
        self.engine = engine
        self.address = shown_address(engine)
        self.picture_folder = picture_folder
        self.clock = clock
        self.read_only = read_only
        self._sessions = sessionmaker(engine, class_=ShopSession, expire_on_commit=False)

    @classmethod
    def open(
        cls,
        where: str | Path,
        *,
        picture_folder: Path | None = None,
        clock: Clock = wall_clock,
        create: bool = True,
        wait: float = 10.0,
    ) -> Store:
        """Open the store at a file path or a ``postgresql://`` address.

        Parameters
        ----------
        where : str or Path
            The file, or the server's address.
        picture_folder : Path, optional
            Default: ``pictures`` beside the file; a server address must name one before pictures are taken in
            (default: ``pictures`` in the working folder).
        clock : callable
            Gives the time in UTC; tests turn it back.
        create : bool
            Make the tables when there are none yet.
        wait : float
            How long to wait for another writer, in s.

        Raises
        ------
        InputError
            No store there and `create` is False.
        StoreTrouble
            The file is damaged, of another version, or cannot be reached.
        """
        store = cls._at(where, picture_folder, clock, wait, create=create)
        try:
            store._be_current(create=create)
        except BaseException:
            store.close()
            raise
        return store

    @classmethod
    def open_any_version(cls, where: str | Path, *, clock: Clock = wall_clock) -> Store:
        """Open a store whose tables may be older than this program, to back it up and bring it up to date."""
        return cls._at(where, None, clock, 10.0, create=False)

    @classmethod
    def _at(
        cls, where: str | Path, picture_folder: Path | None, clock: Clock, wait: float, *, create: bool
    ) -> Store:
        path = None if is_server(where) else Path(where)
        read_only = path is not None and _only_readable(path)
        if path is not None and not path.exists():
            if not create:
                raise InputError("there is no shop store there", file=str(path))
            if read_only:
                raise StoreReadOnly(f"The shop's store cannot be made at {path}: the folder is read-only.")
            _make_folder(path.parent)
        return cls(
            make_engine(where, read_only=read_only, wait=wait),
            picture_folder=picture_folder or (path.parent if path is not None else Path.cwd()) / "pictures",
            clock=clock,
            read_only=read_only,
        )

    @contextmanager
    def change(self, actor: str) -> Iterator[ShopSession]:
        """Give a session whose work is saved as a whole at the end of the block, or not at all.

        When the block ends without an error the change is on the disk.

        Raises
        ------
        StoreTrouble
            It could not be saved.
        forkwright.shop.conflicts.Conflict
            A record was changed by someone else meanwhile.
        """
        from forkwright.shop.conflicts import stale_as_conflict

        if self.read_only:
            raise StoreReadOnly(
                "The shop's store can only be read (read-only disk or file). Nothing was saved."
            )
        with plain_words(), stale_as_conflict(), self._sessions() as session, session.begin():
            session.info.update(actor=actor, clock=self.clock, pictures=self.picture_folder)
            yield session

    @contextmanager
    def look(self) -> Iterator[ShopSession]:
        """Give a session for reading: one picture of the store, whatever others save meanwhile."""
        with plain_words(), self._sessions() as session:
            session.connection(execution_options={"looking": True, **_snapshot_option(self.engine)})
            session.autoflush = False
            yield session

    def revision(self) -> str | None:
        """Return which version of the tables the store has, None when it has none."""
        with plain_words(), self.engine.connect() as connection:
            return revision_of(connection)

    def close(self) -> None:
        """Let go of the file or server."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _be_current(self, *, create: bool) -> None:
        found = self.revision()
        if found is None and create and not self.read_only:
            from forkwright.shop.migrate import upgrade

            with plain_words():
                upgrade(self.engine)
            found = self.revision()
        if found is None:
            raise StoreUnreachable(f"{self.address} holds no shop store.")
        if found != NEWEST:
            older = found < NEWEST
            raise StoreOutdated(
                f"{self.address} has tables of version {found}, this program works with {NEWEST}. "
                + ("Run `forkwright shop migrate`." if older else "Use the newer program that made it.")
            )


def find(session: Session, kind: type[AnyRecord], record_id: str, *, deleted_too: bool = False) -> AnyRecord:
    """Return the record of that name.

    Raises
    ------
    InputError
        There is none, or it was deleted (unless `deleted_too`).
    """
    record = session.get(kind, record_id, execution_options={"include_deleted": True})
    if record is None or (record.deleted_at is not None and not deleted_too):
        raise InputError(f"there is no {kind.__tablename__} {record_id!r}", key="id", value=record_id)
    return record


def add(session: Session, record: AnyRecord) -> AnyRecord:
    """Save a new record within the running change and return it."""
    session.add(record)
    session.flush()
    return record


def delete(session: Session, record: Record) -> None:
    """Mark a record as deleted: it is hidden, and its lines in the trail stay."""
    record.deleted_at = session.info["clock"]()
    session.flush()


def revision_of(connection: Connection) -> str | None:
    """Return the tables' version written in the store, None when there is none."""
    if not look_at(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _only_readable(path: Path) -> bool:
    if path.exists():
        return not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK))
    parent = next((folder for folder in path.parents if folder.exists()), Path("/"))
    return not os.access(parent, os.W_OK)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreUnreachable(f"The folder {folder} cannot be made: {error.strerror}.") from error


def _snapshot_option(engine: Engine) -> dict[str, str]:
    return {"isolation_level": "REPEATABLE READ"} if engine.dialect.name == "postgresql" else {}
