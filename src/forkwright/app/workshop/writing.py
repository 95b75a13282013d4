"""Every change of the book that a browser can ask for: who may, what, and the job as it stands afterwards."""

from __future__ import annotations

from typing import Any

from forkwright.app.workshop.desk import DeskNow
from forkwright.app.workshop.questions import (
    Conclusion,
    CustomerChange,
    FindingChange,
    IntakeChange,
    NewFigure,
    NewJob,
    NewLeakDown,
    NewMaterial,
    NewSignature,
    NewUnitFile,
    SettingChange,
    StageChange,
)
from forkwright.app.workshop.views import customer_view, job_sheet, unit_view
from forkwright.shop import job_changes
from forkwright.shop.cards import cautions
from forkwright.shop.conflicts import change_record
from forkwright.shop.file_texts import check_unit_text, name_and_kind
from forkwright.shop.intake import Arrival
from forkwright.shop.intake import take_in as take_in_unit
from forkwright.shop.job_book import add_leak_down, add_material, add_note, add_photo, sign
from forkwright.shop.jobs import hand_over, job_by_number, open_job
from forkwright.shop.pictures import take_in
from forkwright.shop.records import Customer, Figure, Unit
from forkwright.shop.records_job import LeakDown, Material, Note, Photo
from forkwright.shop.register import (
    add_figure,
    add_unit_file,
    required,
)
from forkwright.shop.service import next_service
from forkwright.shop.store import delete, find
from forkwright.shop.views import job_digest
from forkwright.units import InputError

TECHNICIAN_STATEMENT = "Done and checked by the card."
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
        told = {name: getattr(asked, name) for name in _INTAKE}
        number = open_job(session, unit, **told).number
    return _sheet(desk, number)


def intake(desk: DeskNow, number: int, asked: IntakeChange) -> dict[str, Any]:
    """Change what was written down at the counter."""
    with desk.change("take in") as session:
        fields = {name: getattr(asked, name) for name in _INTAKE}
        job_changes.change_intake(
            session, job_by_number(session, number), fields, read_version=asked.read_version
        )
    return _sheet(desk, number)


def stage(desk: DeskNow, number: int, asked: StageChange) -> dict[str, Any]:
    """Bring a job to another stage."""
    with desk.change("work") as session:
        job = job_by_number(session, number)
        job_changes.change_stage(session, job, asked.stage, read_version=asked.read_version)
    return _sheet(desk, number)


def note(desk: DeskNow, number: int, text: str) -> dict[str, Any]:
    """Write a line in the job's book."""
    with desk.change("note") as session:
        add_note(session, job_by_number(session, number), text, author=desk.person.name)
    return _sheet(desk, number)


def finding(desk: DeskNow, number: int, item: str, asked: FindingChange) -> dict[str, Any]:
    """Write one line of the inspection."""
    with desk.change("work") as session:
        line = asked.model_dump(exclude={"read_version"})
        job = job_by_number(session, number)
        job_changes.change_finding(session, job, item, line, read_version=asked.read_version)
    return _sheet(desk, number)


def material(desk: DeskNow, number: int, asked: NewMaterial) -> dict[str, Any]:
    """Write down what was used."""
    with desk.change("work") as session:
        add_material(session, job_by_number(session, number), **asked.model_dump())
    return _sheet(desk, number)


def leak_down(desk: DeskNow, number: int, asked: NewLeakDown) -> dict[str, Any]:
    """Write down a leak-down test."""
    with desk.change("work") as session:
        add_leak_down(session, job_by_number(session, number), **asked.model_dump())
    return _sheet(desk, number)


def setting(desk: DeskNow, number: int, moment: str, asked: SettingChange) -> dict[str, Any]:
    """Write down the setting it came in with, or leaves with."""
    with desk.change("work") as session:
        fields = asked.model_dump(exclude={"read_version"})
        job = job_by_number(session, number)
        job_changes.change_setting(session, job, moment, fields, read_version=asked.read_version)
    return _sheet(desk, number)


def conclusion(desk: DeskNow, number: int, asked: Conclusion) -> dict[str, Any]:
    """Write down what was done and when to come back."""
    with desk.change("work") as session:
        job = job_by_number(session, number)
        fields: dict[str, Any] = {"work_done": asked.work_done}
        planned = asked.hours_a_week is not None or asked.before_month is not None
        if planned or asked.hours != job.next_service_hours:
            service = next_service(
                session.info["clock"]().date(),
                hours=asked.hours,
                hours_a_week=asked.hours_a_week,
                before_month=asked.before_month,
            )
            fields |= {
                "next_service_hours": service.hours,
                "next_service_on": service.on,
                "next_service_reason": service.reason,
            }
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
    with desk.change("work" if technician else "hand over") as session:
        job = job_by_number(session, number)
        if asked.seen != job_digest(session, job):
            raise InputError(
                "the job was changed since this page was opened: look again, then sign", key="seen"
            )
        told = f"Received, and told: {cautions()['first_ride']}"
        statement = TECHNICIAN_STATEMENT if technician else told
        sign(session, job, role=asked.role, name=asked.name, statement=statement)
    return _sheet(desk, number)


def give_back(desk: DeskNow, number: int, read_version: int) -> dict[str, Any]:
    """Hand over, if nothing stands in the way."""
    with desk.change("hand over") as session:
        job = job_by_number(session, number)
        if job.version != read_version:
            raise InputError("the job was changed since this page was opened: look again", key="read_version")
        hand_over(session, job)
    return _sheet(desk, number)


def photo(desk: DeskNow, number: int, upload: bytes, caption: str) -> dict[str, Any]:
    """Take in a picture: looked at by content, written anew, kept under its digest."""
    desk.person.allow("note")
    with desk.look() as session:
        job_by_number(session, number)
    picture = take_in(upload, desk.picture_folder)
    with desk.change("note") as session:
        add_photo(session, job_by_number(session, number), **vars(picture), caption=caption)
    return _sheet(desk, number)


def remove(desk: DeskNow, number: int, kind: str, record_id: str) -> dict[str, Any]:
    """Mark a note, picture, material or leak-down as deleted; the audit trail keeps it."""
    with desk.change("delete") as session:
        job = job_by_number(session, number)
        record = find(session, _DELETABLE[kind], record_id)
        if record.job_id != job.id:
            raise InputError("that belongs to another job", key="id", value=record_id)
        delete(session, record)
    return _sheet(desk, number)


def unit_file(desk: DeskNow, unit_id: str, asked: NewUnitFile) -> dict[str, Any]:
    """Keep a new version of a unit's file."""
    with desk.change("take in") as session:
        unit = find(session, Unit, unit_id)
        _, kind = name_and_kind(asked.toml)
        if kind != unit.kind:
            raise InputError(
                "the file describes another kind of unit", key="kind", value=kind, allowed=unit.kind
            )
        add_unit_file(session, unit, asked.toml, reason=asked.reason, file_check=check_unit_text)
    with desk.look() as session:
        return unit_view(session, unit_id)


def figure(desk: DeskNow, asked: NewFigure) -> dict[str, Any]:
    """Enter one of the shop's own figures."""
    with desk.change("figures") as session:
        added = add_figure(session, **asked.model_dump())
        names = ("id", "kind", "unit_name", "item", "value", "source")
        facts = {name: getattr(added, name) for name in names}
    said = [] if asked.source else ["no source entered: say in which manual and on which page it stands"]
    return {**facts, "warnings": said}


def remove_figure(desk: DeskNow, figure_id: str) -> dict[str, Any]:
    """Mark a figure as deleted."""
    with desk.change("figures") as session:
        delete(session, find(session, Figure, figure_id))
    return {"id": figure_id, "warnings": []}


def customer(desk: DeskNow, customer_id: str, asked: CustomerChange) -> dict[str, Any]:
    """Change a customer."""
    with desk.change("take in") as session:
        found = find(session, Customer, customer_id)
        fields = asked.model_dump(exclude={"read_version"})
        fields["name"] = required(asked.name, "name")
        change_record(session, found, fields, read_version=asked.read_version)
    with desk.look() as session:
        return {**customer_view(find(session, Customer, customer_id)), "warnings": []}


# --- helpers ---------------------------------------------------------------------------------------------


def _sheet(desk: DeskNow, number: int) -> dict[str, Any]:
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
