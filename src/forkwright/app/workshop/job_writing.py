"""Every change of a job that a browser can ask for: who may, what, and the job as it stands afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from forkwright.app.workshop.desk import DeskNow
from forkwright.app.workshop.questions import (
    Conclusion,
    FindingChange,
    IntakeChange,
    NewJob,
    NewLeakDown,
    NewMaterial,
    NewSignature,
    SettingChange,
    StageChange,
)
from forkwright.app.workshop.views import job_sheet, statements
from forkwright.shop import job_changes
from forkwright.shop.intake import Arrival
from forkwright.shop.intake import take_in as take_in_unit
from forkwright.shop.job_book import add_leak_down, add_material, add_note, add_photo, sign
from forkwright.shop.jobs import hand_over, job_by_number, open_job
from forkwright.shop.pictures import take_in as take_in_picture
from forkwright.shop.records_job import Job, LeakDown, Material, Note, Photo
from forkwright.shop.service import next_service
from forkwright.shop.store import ShopSession, delete, find
from forkwright.shop.views import job_digest
from forkwright.units import InputError

_INTAKE = ("complaint", "rider_name", "rider_mass", "rider_manner", "riding_hours", "due_on")
_DELETABLE: dict[str, type[Note | Photo | Material | LeakDown]] = {
    "notes": Note,
    "photos": Photo,
    "materials": Material,
    "leak-downs": LeakDown,
}


def new_job(desk: DeskNow, asked: NewJob) -> dict[str, Any]:
    """Take in a unit."""
    with desk.change("take in") as session:
        unit = take_in_unit(session, _arrival(asked))
        number = open_job(session, unit, **asked.model_dump(include={*_INTAKE})).number
    return _sheet(desk, number)


def intake(desk: DeskNow, number: int, asked: IntakeChange) -> dict[str, Any]:
    """Change what was written down at the counter."""
    fields = asked.model_dump(include={*_INTAKE})
    with _changed(desk, "take in", number) as (session, job):
        job_changes.change_intake(session, job, fields, read_version=asked.read_version)
    return _sheet(desk, number)


def stage(desk: DeskNow, number: int, asked: StageChange) -> dict[str, Any]:
    """Bring a job to another stage."""
    with _changed(desk, "work", number) as (session, job):
        job_changes.change_stage(session, job, asked.stage, read_version=asked.read_version)
    return _sheet(desk, number)


def note(desk: DeskNow, number: int, text: str) -> dict[str, Any]:
    """Write a line in the job's book."""
    with _changed(desk, "note", number) as (session, job):
        add_note(session, job, text, author=desk.person.name)
    return _sheet(desk, number)


def finding(desk: DeskNow, number: int, item: str, asked: FindingChange) -> dict[str, Any]:
    """Write one line of the inspection."""
    line = asked.model_dump(exclude={"read_version"})
    with _changed(desk, "work", number) as (session, job):
        job_changes.change_finding(session, job, item, line, read_version=asked.read_version)
    return _sheet(desk, number)


def material(desk: DeskNow, number: int, asked: NewMaterial) -> dict[str, Any]:
    """Write down what was used."""
    with _changed(desk, "work", number) as (session, job):
        add_material(session, job, **asked.model_dump())
    return _sheet(desk, number)


def leak_down(desk: DeskNow, number: int, asked: NewLeakDown) -> dict[str, Any]:
    """Write down a leak-down test."""
    with _changed(desk, "work", number) as (session, job):
        add_leak_down(session, job, **asked.model_dump())
    return _sheet(desk, number)


def setting(desk: DeskNow, number: int, moment: str, asked: SettingChange) -> dict[str, Any]:
    """Write down the setting it came in with, or leaves with."""
    fields = asked.model_dump(exclude={"read_version"})
    with _changed(desk, "work", number) as (session, job):
        job_changes.change_setting(session, job, moment, fields, read_version=asked.read_version)
    return _sheet(desk, number)


def conclusion(desk: DeskNow, number: int, asked: Conclusion) -> dict[str, Any]:
    """Write down what was done and when to come back."""
    with _changed(desk, "work", number) as (session, job):
        fields = {"work_done": asked.work_done, **_service(session, job, asked)}
        job_changes.change_conclusion(session, job, fields, read_version=asked.read_version)
    return _sheet(desk, number)


def signature(desk: DeskNow, number: int, asked: NewSignature) -> dict[str, Any]:
    """Sign for the job as the page showed it.

    Raises
    ------
    InputError
        It was changed since the page was opened.
    """
    technician = asked.role == "technician"
    with _changed(desk, "work" if technician else "hand over", number) as (session, job):
        if asked.seen != job_digest(session, job):
            raise InputError(
                "the job was changed since this page was opened: look again, then sign", key="seen"
            )
        sign(session, job, role=asked.role, name=asked.name, statement=statements()[asked.role])
    return _sheet(desk, number)


def give_back(desk: DeskNow, number: int, read_version: int) -> dict[str, Any]:
    """Hand over, if nothing stands in the way."""
    with _changed(desk, "hand over", number) as (session, job):
        if job.version != read_version:
            raise InputError("the job was changed since this page was opened: look again", key="read_version")
        hand_over(session, job)
    return _sheet(desk, number)


def photo(desk: DeskNow, number: int, upload: bytes, caption: str) -> dict[str, Any]:
    """Take in a picture: looked at by content, written anew, kept under its digest."""
    desk.person.allow("note")
    with desk.look() as session:
        job_by_number(session, number)  # refuses before the picture is kept
    picture = take_in_picture(upload, desk.picture_folder)
    with _changed(desk, "note", number) as (session, job):
        add_photo(session, job, **vars(picture), caption=caption)
    return _sheet(desk, number)


def remove(desk: DeskNow, number: int, kind: str, record_id: str) -> dict[str, Any]:
    """Mark a note, picture, material or leak-down as deleted; the audit trail keeps it."""
    with _changed(desk, "delete", number) as (session, job):
        record = find(session, _DELETABLE[kind], record_id)
        if record.job_id != job.id:
            raise InputError("that belongs to another job", key="id", value=record_id)
        delete(session, record)
    return _sheet(desk, number)


@contextmanager
def _changed(desk: DeskNow, act: str, number: int) -> Iterator[tuple[ShopSession, Job]]:
    """Give a job and a session whose work is saved at the end, if the person may do `act`."""
    with desk.change(act) as session:
        yield session, job_by_number(session, number)


def _sheet(desk: DeskNow, number: int) -> dict[str, Any]:
    """Return the job as it was saved."""
    with desk.look() as session:
        return job_sheet(session, number)


def _arrival(asked: NewJob) -> Arrival:
    """Return what was sent about the unit, its owner and its bike."""
    return Arrival(
        unit_id=asked.unit_id,
        unit_text=asked.toml,
        kind=asked.kind,
        name=asked.name,
        serial=asked.serial,
        customer=asked.customer,
        phone=asked.phone,
        email=asked.email,
        bike=asked.bike,
        bike_text=asked.bike_toml,
    )


def _service(session: ShopSession, job: Job, asked: Conclusion) -> dict[str, Any]:
    """Return when to come back, planned anew; nothing, where the plan that stands is not touched."""
    planned = asked.hours_a_week is not None or asked.before_month is not None
    if not planned and asked.hours == job.next_service_hours:
        return {}
    service = next_service(
        session.info["clock"]().date(),
        hours=asked.hours,
        hours_a_week=asked.hours_a_week,
        before_month=asked.before_month,
    )
    return {
        "next_service_hours": service.hours,
        "next_service_on": service.on,
        "next_service_reason": service.reason,
    }
