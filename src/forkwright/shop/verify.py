"""Is the store sound: the file's pages, every row against the audit trail, every digest, every picture."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from forkwright.shop.dump import Progress, misfits, read_dump
from forkwright.shop.history import SECRET, HistoryEntry, entry_digest, state_of
from forkwright.shop.migrations import NEWEST
from forkwright.shop.pictures import read_picture
from forkwright.shop.records import Counter, UnitVersion
from forkwright.shop.records_job import Job, Photo
from forkwright.shop.register import text_digest
from forkwright.shop.store import Store
from forkwright.shop.tables import record_classes
from forkwright.shop.troubles import StoreTrouble, plain_words
from forkwright.units import InputError

MOST_TOLD = 100  # problems of one kind


@dataclass(frozen=True)
class Problem:
    """One thing that is not as it should be: of which kind, where, and in words."""

    kind: str
    where: str
    text: str


@dataclass(frozen=True)
class Verification:
    """What was looked at and what was found; sound when there are no problems."""

    address: str
    records: int
    history_entries: int
    pictures: int
    problems: tuple[Problem, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing was found."""
        return not self.problems


def verify(store: Store, *, progress: Progress | None = None) -> Verification:
    """Look the whole store over. A damaged file is a finding, not an error."""
    problems: list[Problem] = []
    counts = {"records": 0, "history": 0, "pictures": 0}
    steps: tuple[tuple[str, Callable[[Session], Iterator[Problem]]], ...] = (
        ("the file's pages", lambda session: _page_problems(session.connection())),
        ("the audit trail", lambda session: history_problems(session, counts)),
        ("the rows", lambda session: row_problems(session, counts)),
        ("the rows' form", form_problems),
        ("the unit files", file_problems),
        ("the pictures", lambda session: picture_problems(session, store, counts)),
    )
    try:
        version = store.revision()
    except StoreTrouble as error:
        problems.append(Problem("damaged", "the tables' version", str(error)))
        version = None
    if version not in (None, NEWEST):
        steps = steps[:1]
        problems.append(Problem("version", str(version), "run `forkwright shop migrate` first"))
    for done, (what, look) in enumerate(steps):
        if progress is not None:
            progress(done, len(steps), what)
        try:
            with store.look() as session:
                problems.extend(_first_of(look(session)))
        except (StoreTrouble, DBAPIError, ValueError) as error:
            problems.append(Problem("damaged", what, str(error).splitlines()[0]))
    return Verification(
        address=store.address,
        records=counts["records"],
        history_entries=counts["history"],
        pictures=counts["pictures"],
        problems=tuple(problems),
    )


def content_problems(session: Session) -> list[Problem]:
    """Return what is wrong with the rows themselves (looked at before an import is kept)."""
    counts = {"records": 0, "history": 0}
    return [
        *_first_of(history_problems(session, counts)),
        *_first_of(row_problems(session, counts)),
        *_first_of(file_problems(session)),
    ]


def history_problems(session: Session, counts: dict[str, int]) -> Iterator[Problem]:
    """Tell the audit entries whose digest no longer fits."""
    for entry in session.scalars(select(HistoryEntry).execution_options(yield_per=500)):
        counts["history"] += 1
        if entry_digest(entry) != entry.digest:
            yield Problem("audit trail", f"entry {entry.seq}", "the entry is not what was written")


def row_problems(session: Session, counts: dict[str, int]) -> Iterator[Problem]:
    """Tell the rows that differ from their last audit entry, are missing, or were never audited."""
    for name, kind in record_classes().items():
        last = _last_states(session, name)
        for record in session.scalars(select(kind).execution_options(include_deleted=True)):
            counts["records"] += 1
            written = last.pop(record.id, None)
            if written is None:
                yield Problem("row", f"{name} {record.id}", "the audit trail does not know this row")
                continue
            now = state_of(record)
            changed = sorted(key for key in now if _differs(now[key], key, written))
            if changed:
                yield Problem(
                    "row", f"{name} {record.id}", f"differs from the audit trail in {', '.join(changed)}"
                )
        for record_id in last:
            yield Problem("row", f"{name} {record_id}", "the row is gone without having been deleted")
    highest = session.scalar(select(func.max(Job.number)).execution_options(include_deleted=True)) or 0
    given = session.scalar(select(Counter.value).where(Counter.name == "job"))
    if given is None or given < highest:
        yield Problem("row", "counter job", f"stands at {given}, the highest job number is {highest}")


def form_problems(session: Session) -> Iterator[Problem]:
    """Tell the rows that a restore of a backup of this store would refuse, whatever their trail says."""
    for table, misfit in misfits(read_dump(session.connection(), accounts=True)):
        yield Problem("row", table, f"a restore would refuse it: {misfit}")


def file_problems(session: Session) -> Iterator[Problem]:
    """Tell the unit files whose text no longer fits its digest."""
    for version in session.scalars(select(UnitVersion).execution_options(include_deleted=True)):
        if text_digest(version.file_text) != version.digest:
            yield Problem("unit file", f"unit_version {version.id}", "the text is not what was kept")


def picture_problems(session: Session, store: Store, counts: dict[str, int]) -> Iterator[Problem]:
    """Tell the pictures that are missing or changed on the disk."""
    for digest in session.scalars(select(Photo.digest).distinct()):
        counts["pictures"] += 1
        try:
            read_picture(store.picture_folder, digest)
        except InputError as error:
            yield Problem("picture", digest, error.message)


def _page_problems(connection: Connection) -> Iterator[Problem]:
    if connection.dialect.name != "sqlite":
        return
    with plain_words():
        for (line,) in connection.exec_driver_sql(f"PRAGMA integrity_check({MOST_TOLD})"):
            if line != "ok":
                yield Problem("damaged", "the file's pages", str(line))
        for table, row, parent, _number in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield Problem("row", f"{table} row {row}", f"points to a {parent} that is not there")


def _last_states(session: Session, table_name: str) -> dict[str, dict[str, Any]]:
    query = (
        select(HistoryEntry.record_id, HistoryEntry.state)
        .where(HistoryEntry.table_name == table_name)
        .order_by(HistoryEntry.seq)
    )
    return {record_id: json.loads(state) for record_id, state in session.execute(query)}


def _differs(value: Any, key: str, written: dict[str, Any]) -> bool:
    """Compare with the trail; a column that came with a later version of the tables is not in old entries."""
    return key in written and written[key] != SECRET and written[key] != value


def _first_of(problems: Iterator[Problem]) -> list[Problem]:
    kept: list[Problem] = []
    for problem in problems:
        kept.append(problem)
        if len(kept) >= MOST_TOLD:
            break
    return kept
