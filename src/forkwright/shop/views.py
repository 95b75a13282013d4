"""A job as one plain table of facts: what is printed as JSON, shown on pages and signed for."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.columns import moment_text
from forkwright.shop.inspection import check_list
from forkwright.shop.jobs import next_action, obstacles
from forkwright.shop.records import Bike, Customer, Unit
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
from forkwright.shop.register import newest_file
from forkwright.shop.store import AnyRecord, find
from forkwright.units import parse


def job_view(session: Session, job: Job) -> dict[str, Any]:
    """Return everything about a job. Keys with a unit ending are SI or hours; the texts stand as typed."""
    facts = job_facts(session, job)
    digest = _digest(facts)
    return {
        **facts,
        "version": job.version,
        "stage": job.stage,
        "next_action": next_action(session, job),
        "obstacles": list(obstacles(session, job)) if job.stage != "handed over" else [],
        "closed_at": None if job.closed_at is None else moment_text(job.closed_at),
        "notes": [
            {"at": moment_text(note.created_at), "author": note.author, "text": note.text}
            for note in of_job(session, Note, job)
        ],
        "photos": [
            {
                "digest": photo.digest,
                "caption": photo.caption,
                "width_px": photo.width,
                "height_px": photo.height,
            }
            for photo in of_job(session, Photo, job)
        ],
        "signatures": [
            {
                "at": moment_text(signature.created_at),
                "role": signature.role,
                "name": signature.name,
                "statement": signature.statement,
                "still_holds": signature.job_digest == digest,
            }
            for signature in of_job(session, Signature, job)
        ],
        "not_inspected": _not_inspected(session, job, [row["item"] for row in facts["findings"]]),
        "warnings": [],
    }


def job_facts(session: Session, job: Job) -> dict[str, Any]:
    """Return what a signature stands for: the job without its stage, notes, pictures and signatures."""
    unit = find(session, Unit, job.unit_id, deleted_too=True)
    file = newest_file(session, unit.id)
    return {
        "number": job.number,
        "received_at": moment_text(job.created_at),
        "due_on": None if job.due_on is None else job.due_on.isoformat(),
        "complaint": job.complaint,
        "work_done": job.work_done,
        "unit": {
            "id": unit.id,
            "kind": unit.kind,
            "name": unit.name,
            "serial": unit.serial,
            "file_version": None if file is None else file.ordinal,
        },
        "customer": _named(session, Customer, job.customer_id),
        "bike": _named(session, Bike, job.bike_id),
        "rider": {
            "name": job.rider_name,
            "mass": job.rider_mass,
            "mass_kg": _si(job.rider_mass, "mass"),
            "manner": job.rider_manner,
        },
        "riding_h": job.riding_hours,
        "findings": [_finding(finding) for finding in of_job(session, Finding, job)],
        "materials": [_material(material) for material in of_job(session, Material, job)],
        "leak_downs": [_leak_down(test) for test in of_job(session, LeakDown, job)],
        "next_service": {
            "hours_h": job.next_service_hours,
            "on": None if job.next_service_on is None else job.next_service_on.isoformat(),
            "reason": job.next_service_reason,
        },
        "settings": {setting.moment: _setting(setting) for setting in of_job(session, SettingRecord, job)},
    }


def job_line(session: Session, job: Job) -> dict[str, Any]:
    """Return a job's one line on the board."""
    unit = find(session, Unit, job.unit_id, deleted_too=True)
    customer = _named(session, Customer, job.customer_id)
    return {
        "number": job.number,
        "stage": job.stage,
        "unit": unit.name,
        "customer": "" if customer is None else customer["name"],
        "complaint": job.complaint,
        "received_at": moment_text(job.created_at),
        "due_on": None if job.due_on is None else job.due_on.isoformat(),
        "next_action": next_action(session, job),
    }


def job_digest(session: Session, job: Job) -> str:
    """Return the SHA-256 (hexadecimal) of `job_facts`: a signature holds as long as it stays the same."""
    return _digest(job_facts(session, job))


def of_job(session: Session, kind: type[AnyRecord], job: Job) -> Sequence[AnyRecord]:
    """Return the job's records of one kind, in the order they were written."""
    columns = kind.__table__.c
    query = select(kind).where(columns.job_id == job.id).order_by(columns.created_at, columns.id)
    return session.scalars(query).all()


def _digest(facts: dict[str, Any]) -> str:
    text = json.dumps(facts, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _named(
    session: Session, kind: type[Customer] | type[Bike], record_id: str | None
) -> dict[str, str] | None:
    if record_id is None:
        return None
    record = find(session, kind, record_id, deleted_too=True)
    return {"id": record.id, "name": record.name}


def _not_inspected(session: Session, job: Job, done: list[str]) -> list[str]:
    unit = find(session, Unit, job.unit_id, deleted_too=True)
    return [item.key for item in check_list(unit.kind) if item.key not in done]


def _finding(finding: Finding) -> dict[str, Any]:
    names = ("item", "result", "measured", "measured_m", "limit", "limit_m", "resolved", "remark")
    return {name: getattr(finding, name) for name in names}


def _material(material: Material) -> dict[str, Any]:
    names = ("kind", "name", "part_number", "amount", "place", "remark")
    row = {name: getattr(material, name) for name in names}
    return {**row, "amount_m3": _si(material.amount, "volume") if material.kind == "oil" else None}


def _leak_down(test: LeakDown) -> dict[str, Any]:
    names = ("chamber", "start_pressure", "end_pressure", "start_temperature", "end_temperature", "verdict")
    return {
        **{name: getattr(test, name) for name in names},
        "start_pressure_gauge_Pa": _si(test.start_pressure, "pressure"),
        "end_pressure_gauge_Pa": _si(test.end_pressure, "pressure"),
        "start_temperature_K": _si(test.start_temperature, "temperature"),
        "end_temperature_K": _si(test.end_temperature, "temperature"),
        "time_s": test.hours * 3600.0,
    }


def _setting(setting: SettingRecord) -> dict[str, Any]:
    texts = (
        "pressure",
        "negative_pressure",
        "floating",
        "preload",
        "sag",
        "temperature",
        "altitude",
        "remark",
    )
    counts = ("spacers", "low_speed", "high_speed", "rebound")
    return {
        **{name: getattr(setting, name) for name in (*texts, *counts)},
        "pressure_gauge_Pa": _si(setting.pressure, "pressure"),
        "negative_pressure_gauge_Pa": _si(setting.negative_pressure, "pressure"),
        "floating_gauge_Pa": _si(setting.floating, "pressure"),
        "preload_m": _si(setting.preload, "length"),
        "sag_m": _si(setting.sag, "length"),
        "temperature_K": _si(setting.temperature, "temperature"),
        "altitude_m": _si(setting.altitude, "length"),
    }


def _si(text: str, dimension: str) -> float | None:
    return parse(text, dimension).si if text else None
