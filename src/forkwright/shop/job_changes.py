"""Changes of a job from a page that someone read a while ago: saved only on top of the version they had read.

Each takes the version that the page showed, 0 for a record that was not there yet, and raises
`forkwright.shop.conflicts.Conflict` with all a merge screen needs when the record has moved on since.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.columns import Record
from forkwright.shop.conflicts import change_record, conflict_of
from forkwright.shop.inspection import record_finding
from forkwright.shop.job_book import record_setting
from forkwright.shop.jobs import move
from forkwright.shop.records_job import Finding, Job, SettingRecord
from forkwright.shop.typed import check_riding_hours, check_typed
from forkwright.units import InputError

INTAKE_FIELDS = ("complaint", "rider_name", "rider_mass", "rider_manner", "riding_hours", "due_on")


def change_intake(session: Session, job: Job, fields: Mapping[str, Any], *, read_version: int) -> None:
    """Change what was written down when the unit came in.

    Parameters
    ----------
    fields : mapping
        Some of `INTAKE_FIELDS`: `rider_mass` with its unit, `riding_hours` in h, `due_on` a date.
    read_version : int
        The version of the job that the page showed.

    Raises
    ------
    InputError
        Another field, a mass that cannot be read, or hours out of range.
    Conflict
        Someone else was faster.
    """
    for name in fields:
        if name not in INTAKE_FIELDS:
            raise InputError("not an entry of the intake", key=name, allowed=", ".join(INTAKE_FIELDS))
    check_typed(fields.get("rider_mass", ""), "mass", "rider_mass")
    check_riding_hours(fields.get("riding_hours"))
    change_record(session, job, fields, read_version=read_version)


def change_stage(session: Session, job: Job, stage: str, *, read_version: int) -> None:
    """Bring the job to another stage, unless it has moved on since."""
    _must_be(session, job, {"stage": stage}, read_version)
    move(session, job, stage)


def change_conclusion(session: Session, job: Job, fields: Mapping[str, Any], *, read_version: int) -> None:
    """Write down what was done and when to come back: `work_done` and the `next_service_...` entries."""
    for name in fields:
        if name != "work_done" and not name.startswith("next_service_"):
            raise InputError("not an entry of the conclusion", key=name)
    change_record(session, job, fields, read_version=read_version)


def change_finding(
    session: Session, job: Job, item: str, line: Mapping[str, str], *, read_version: int
) -> Finding:
    """Write one line of the inspection: `result`, `measured`, `remark`, `resolved` (see `record_finding`)."""
    found = session.scalars(select(Finding).where(Finding.job_id == job.id, Finding.item == item)).first()
    mine = {name: text for name, text in line.items() if not (name == "result" and not text)}
    _must_be(session, found, mine, read_version)
    return record_finding(session, job, item=item, **line)


def change_setting(
    session: Session, job: Job, moment: str, fields: Mapping[str, Any], *, read_version: int
) -> SettingRecord:
    """Write down a setting: some of the fields of `SettingRecord` (see `record_setting`)."""
    query = select(SettingRecord).where(SettingRecord.job_id == job.id, SettingRecord.moment == moment)
    _must_be(session, session.scalars(query).first(), fields, read_version)
    return record_setting(session, job, moment, **fields)


def _must_be(session: Session, record: Record | None, mine: Mapping[str, Any], read_version: int) -> None:
    """Raise the conflict if the record does not stand at the version that was read."""
    if record is not None and record.version != read_version:
        raise conflict_of(session, record, mine, read_version)
