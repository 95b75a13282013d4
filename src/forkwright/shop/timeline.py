"""Everything that ever happened to one unit, in the order it was written down.

The order is the audit trail's own, not the clock's: a computer whose clock jumped back shuffles nothing.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.columns import Record, moment_text
from forkwright.shop.history import HistoryEntry
from forkwright.shop.inspection import CHECK_LIST
from forkwright.shop.records import Unit, UnitVersion
from forkwright.shop.records_job import (
    Finding,
    Job,
    LeakDown,
    Material,
    Note,
    Photo,
    SettingRecord,
    Signature,
)


@dataclass(frozen=True)
class TimelineEvent:
    """One line: when (UTC, as the clock stood), for which job (None: the unit itself), who, what."""

    sequence: int
    at: str
    job: int | None
    actor: str
    kind: str
    text: str
    clock_back: bool


def timeline(session: Session, unit: Unit) -> tuple[TimelineEvent, ...]:
    """Return the unit's events, oldest first. Deleted records leave their lines: the past stays as it was."""
    jobs = {
        job.id: job.number
        for job in session.scalars(
            select(Job).where(Job.unit_id == unit.id).execution_options(include_deleted=True)
        )
    }
    job_of_record = _records_of(session, unit, jobs)
    entries: list[HistoryEntry] = []
    names = list(job_of_record)
    for start in range(0, len(names), 500):  # databases limit how many values one question may hold
        query = select(HistoryEntry).where(HistoryEntry.record_id.in_(names[start : start + 500]))
        entries.extend(session.scalars(query))
    return tuple(_events(sorted(entries, key=lambda entry: entry.seq), job_of_record))


def _records_of(session: Session, unit: Unit, jobs: dict[str, int]) -> dict[str, int | None]:
    found: dict[str, int | None] = {unit.id: None, **jobs}
    versions = select(UnitVersion.id).where(UnitVersion.unit_id == unit.id)
    found.update(dict.fromkeys(session.scalars(versions.execution_options(include_deleted=True)), None))
    for kind in (Note, Photo, Finding, Material, LeakDown, SettingRecord, Signature):
        columns = kind.__table__.c
        query = select(columns.id, columns.job_id).where(columns.job_id.in_(jobs))
        found.update({record_id: jobs[job_id] for record_id, job_id in session.execute(query)})
    return found


def _events(entries: list[HistoryEntry], job_of_record: dict[str, int | None]) -> list[TimelineEvent]:
    events: list[TimelineEvent] = []
    before: dict[str, dict[str, Any]] = {}
    for entry in entries:
        state = json.loads(entry.state)
        events.append(
            TimelineEvent(
                sequence=entry.seq,
                at=moment_text(entry.at),
                job=job_of_record[entry.record_id],
                actor=entry.actor,
                kind=entry.table_name,
                text=_line(entry, state, before.get(entry.record_id)),
                clock_back=entry.clock_back,
            )
        )
        before[entry.record_id] = state
    return events


def _line(entry: HistoryEntry, state: dict[str, Any], before: dict[str, Any] | None) -> str:
    if entry.action == "delete":
        return f"{entry.table_name.replace('_', ' ')} deleted"
    if entry.action == "change" and before is not None and entry.table_name in ("job", "unit"):
        return _changes(before, state)
    return _TELL[entry.table_name](state)


def _changes(before: dict[str, Any], after: dict[str, Any]) -> str:
    own = set(Record.__annotations__)
    changed = [name for name in after if name not in own and after[name] != before.get(name)]
    return "; ".join(f"{name.replace('_', ' ')}: {_shown(after[name])}" for name in changed) or "saved again"


def _shown(value: Any) -> str:
    return "nothing" if value in (None, "") else str(value)


def _tell_finding(state: dict[str, Any]) -> str:
    what = next((item.what for item in CHECK_LIST if item.key == state["item"]), state["item"])
    measured = f" ({state['measured']}, limit {state['limit'] or 'not set'})" if state["measured"] else ""
    settled = f"; {state['resolved']}" if state["resolved"] else ""
    return f"{what}: {state['result']}{measured}{settled}"


def _tell_setting(state: dict[str, Any]) -> str:
    names = (
        "pressure",
        "negative_pressure",
        "floating",
        "preload",
        "spacers",
        "low_speed",
        "high_speed",
        "rebound",
        "sag",
    )
    given = [f"{name.replace('_', ' ')} {state[name]}" for name in names if state[name] not in (None, "")]
    return f"setting {state['moment']}: " + (", ".join(given) or "nothing noted")


_TELL: dict[str, Callable[[dict[str, Any]], str]] = {
    "unit": lambda state: f"taken into the book: {state['kind']} {state['name']}",
    "unit_version": lambda state: (
        f"file version {state['ordinal']}" + (f": {state['reason']}" if state["reason"] else "")
    ),
    "job": lambda state: f"taken in: {state['complaint'] or 'no complaint noted'}",
    "note": lambda state: state["text"],
    "photo": lambda state: "picture" + (f": {state['caption']}" if state["caption"] else ""),
    "finding": _tell_finding,
    "material": lambda state: " ".join(
        part for part in (state["kind"], state["name"], state["amount"]) if part
    ),
    "leak_down": lambda state: (
        f"leak-down of {state['chamber']}: {state['start_pressure']} to "
        f"{state['end_pressure']} in {state['hours']:g} h"
    ),
    "setting_record": _tell_setting,
    "signature": lambda state: f"signed by {state['name']} ({state['role']})",
}
