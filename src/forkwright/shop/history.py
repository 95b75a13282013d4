"""The audit trail: every record's state after every change, written in the same transaction as the change.

It serves four needs: who did what (`entries_of`), the common ground for a merge screen (`state_at`), the
order of a timeline when the computer's clock jumped (the sequence number, not the time), and a second copy of
every row that `forkwright.shop.verify` holds the rows against.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from sqlalchemy import BigInteger, Integer, String, Text, event, inspect, select
from sqlalchemy.orm import Mapped, ORMExecuteState, Session, mapped_column, with_loader_criteria

from forkwright.shop.columns import Base, Clock, Record, moment_text, new_id, wall_clock
from forkwright.shop.words import LONGEST_FILE, LONGEST_TEXT, clean_text, folded

SECRET = "(kept secret)"


class HistoryEntry(Base):
    """One change of one record."""

    __tablename__ = "history"

    seq: Mapped[int] = mapped_column(
        BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True
    )
    at: Mapped[datetime]
    actor: Mapped[str] = mapped_column(Text)
    action: Mapped[str] = mapped_column(String(16))  # "add", "change", "delete"
    table_name: Mapped[str] = mapped_column(String(32))
    record_id: Mapped[str] = mapped_column(String(32), index=True)
    record_version: Mapped[int]
    clock_back: Mapped[bool] = mapped_column(default=False)  # the clock stood before the record's last stamp
    state: Mapped[str]  # the record after the change, as JSON
    digest: Mapped[str] = mapped_column(String(64))  # SHA-256 over the fields above except seq


def entries_of(session: Session, record_id: str) -> list[HistoryEntry]:
    """Return the changes of one record, oldest first."""
    query = select(HistoryEntry).where(HistoryEntry.record_id == record_id).order_by(HistoryEntry.seq)
    return list(session.scalars(query))


def state_at(session: Session, record_id: str, version: int) -> dict[str, Any] | None:
    """Return the record's fields as they stood at `version`, or None if the trail does not know it."""
    query = select(HistoryEntry.state).where(
        HistoryEntry.record_id == record_id, HistoryEntry.record_version == version
    )
    text = session.scalars(query).first()
    return None if text is None else json.loads(text)


def state_of(record: Record) -> dict[str, Any]:
    """Return a record's fields in JSON's own types; secrets are named but not told."""
    state: dict[str, Any] = {}
    for column in record.__table__.columns:
        value = getattr(record, column.key)
        if column.info.get("secret"):
            value = SECRET
        elif isinstance(value, datetime):
            value = moment_text(value)
        elif isinstance(value, date):
            value = value.isoformat()
        state[column.key] = value
    return state


def entry_digest(entry: HistoryEntry) -> str:
    """Return the SHA-256 (hexadecimal) that guards one entry against a flipped bit."""
    parts = (
        moment_text(entry.at),
        entry.actor,
        entry.action,
        entry.table_name,
        entry.record_id,
        str(entry.record_version),
        entry.state,
    )
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()


def record_id_of(record: Record) -> str:
    """Return the record's name, giving it one if it has none yet."""
    if record.id is None:
        record.id = new_id()
    return record.id


def watch(session_class: type[Session]) -> None:
    """Make sessions of this class clean text, stamp, audit, and hide deleted records."""
    event.listen(session_class, "before_flush", _before_flush)
    event.listen(session_class, "do_orm_execute", _hide_deleted)


def _hide_deleted(state: ORMExecuteState) -> None:
    if state.is_select and not state.execution_options.get("include_deleted", False):
        state.statement = state.statement.options(
            with_loader_criteria(Record, lambda cls: cls.deleted_at.is_(None), include_aliases=True)
        )


def _before_flush(session: Session, _context: object, _instances: object) -> None:
    for record, is_new in list(_changed_records(session)):
        _prepare(session, record, is_new)
        session.add(_entry(session, record, is_new))
    for thing in session.deleted:
        if isinstance(thing, Record):
            raise TypeError(
                "records are deleted by their mark, never erased; see forkwright.shop.store.delete"
            )


def _changed_records(session: Session) -> Iterator[tuple[Record, bool]]:
    for thing in session.new:
        if isinstance(thing, Record):
            yield thing, True
    for thing in session.dirty:
        if isinstance(thing, Record) and session.is_modified(thing):
            yield thing, False


def _prepare(session: Session, record: Record, is_new: bool) -> None:
    clock: Clock = session.info.get("clock", wall_clock)
    now = clock()
    record_id_of(record)
    for column in record.__table__.columns:
        value = getattr(record, column.key)
        if value is None and is_new and column.default is not None and column.default.is_scalar:
            setattr(record, column.key, column.default.arg)
        elif isinstance(value, str) and column.key != "search_text":
            longest = LONGEST_FILE if column.key == "file_text" else LONGEST_TEXT
            cleaned = clean_text(value, what=f"{record.__tablename__}.{column.key}", longest=longest)
            if cleaned != value:
                setattr(record, column.key, cleaned)
    record.search_text = folded(" ".join(str(getattr(record, name)) for name in record.SEARCHED))
    if is_new:
        record.created_at = now
    record.changed_at = now


def _entry(session: Session, record: Record, is_new: bool) -> HistoryEntry:
    changed_before = _value_before(record, "changed_at")
    version = 1 if is_new else record.version + 1
    state = {**state_of(record), "version": version}
    entry = HistoryEntry(
        at=record.changed_at,
        actor=str(session.info.get("actor", "")),
        action=_action(record, is_new),
        table_name=record.__tablename__,
        record_id=record.id,
        record_version=version,
        clock_back=changed_before is not None and record.changed_at < changed_before,
        state=json.dumps(state, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False),
    )
    entry.digest = entry_digest(entry)
    return entry


def _action(record: Record, is_new: bool) -> str:
    if is_new:
        return "add"
    was_there = _value_before(record, "deleted_at") is None
    return "delete" if record.deleted_at is not None and was_there else "change"


def _value_before(record: Record, field: str) -> Any:
    """Return the field's stored value, or None if it was not changed or not there."""
    gone = inspect(record).attrs[field].history.deleted
    return gone[0] if gone else None
