"""Two people change one record: the second is told, with all a merge screen needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session
from sqlalchemy.orm.exc import StaleDataError

from forkwright.shop.columns import Record, moment_text
from forkwright.shop.history import entries_of, state_at, state_of
from forkwright.units import InputError

_OWN_FIELDS = frozenset({"id", "version", "created_at", "changed_at", "search_text"})


@dataclass(frozen=True)
class FieldChoice:
    """One field of a merge screen.

    `base` is what both started from, `mine` what this person wants, `theirs` what stands now. `clash` is True
    when both changed it and not to the same.
    """

    name: str
    base: Any
    mine: Any
    theirs: Any
    clash: bool


class Conflict(RuntimeError):  # noqa: N818 - the word a merge screen uses
    """The record was changed by someone else since it was read; nothing of this change was saved.

    Attributes
    ----------
    table, record_id : str
        Which record.
    read_version, current_version : int
        The version this person had read, and the one that stands now.
    changed_by : str
        Who saved the version that stands now.
    fields : tuple of FieldChoice
        Every field that either side changed. Empty when the clash came to light only while saving.
    """

    def __init__(
        self,
        *,
        table: str,
        record_id: str,
        read_version: int,
        current_version: int,
        changed_by: str = "",
        fields: tuple[FieldChoice, ...] = (),
    ) -> None:
        self.table = table
        self.record_id = record_id
        self.read_version = read_version
        self.current_version = current_version
        self.changed_by = changed_by
        self.fields = fields
        clashing = ", ".join(field.name for field in fields if field.clash)
        who = f" by {changed_by}" if changed_by else ""
        super().__init__(
            f"This {table} was changed{who} since you opened it (you had version {read_version}, now "
            f"{current_version})."
            + (f" Both changed: {clashing}." if clashing else " Look again and repeat your change.")
        )


def change_record(
    session: Session, record: Record, fields: Mapping[str, Any], *, read_version: int | None = None
) -> None:
    """Set `fields` on `record`, provided nobody changed it since `read_version`.

    Parameters
    ----------
    session : Session
        From `Store.change`.
    record : Record
        As it stands now.
    fields : mapping
        New values by field name.
    read_version : int, optional
        The version the person had before them (a form carries it). Without it the record's own is taken.

    Raises
    ------
    InputError
        A field the record does not have, or one that only the store may set.
    Conflict
        Someone else was faster.
    """
    known = {column.key for column in record.__table__.columns} - _OWN_FIELDS - {"deleted_at"}
    for name in fields:
        if name not in known:
            raise InputError(
                f"a {record.__tablename__} has no field {name!r}", key=name, allowed=", ".join(sorted(known))
            )
    if read_version is not None and read_version != record.version:
        raise conflict_of(session, record, fields, read_version)
    for name, value in fields.items():
        setattr(record, name, value)
    session.flush()


def conflict_of(session: Session, record: Record, mine: Mapping[str, Any], read_version: int) -> Conflict:
    """Return the merge data for a change made on top of `read_version` while the record moved on."""
    theirs = state_of(record)
    base = state_at(session, record.id, read_version)
    last = entries_of(session, record.id)
    return Conflict(
        table=record.__tablename__,
        record_id=record.id,
        read_version=read_version,
        current_version=record.version,
        changed_by=last[-1].actor if last else "",
        fields=tuple(_choices(base or {}, {name: _as_kept(value) for name, value in mine.items()}, theirs)),
    )


@contextmanager
def stale_as_conflict() -> Iterator[None]:
    """Turn the mapper's own lock failure (a change between reading and saving) into a `Conflict`."""
    try:
        yield
    except StaleDataError as error:
        raise Conflict(table="record", record_id="", read_version=0, current_version=0) from error


def _choices(
    base: Mapping[str, Any], mine: Mapping[str, Any], theirs: Mapping[str, Any]
) -> Iterator[FieldChoice]:
    for name in theirs:
        if name in _OWN_FIELDS:
            continue
        at_first = base.get(name)
        wanted = mine.get(name, at_first)
        stands = theirs[name]
        if wanted == at_first and stands == at_first:
            continue
        clash = wanted != at_first and stands != at_first and wanted != stands
        yield FieldChoice(name=name, base=at_first, mine=wanted, theirs=stands, clash=clash)


def _as_kept(value: Any) -> Any:
    if isinstance(value, datetime):
        return moment_text(value)
    return value.isoformat() if isinstance(value, date) else value
