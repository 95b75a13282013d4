"""What the pages and the API show of the book: board, job with the versions to lock by, unit, search."""

from __future__ import annotations

import re
from dataclasses import asdict
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from forkwright.shop.cards import cards_for, cautions
from forkwright.shop.columns import Record, moment_text
from forkwright.shop.inspection import CHECK_LIST, check_list, limit_for
from forkwright.shop.jobs import MOVES, job_by_number
from forkwright.shop.records import FIGURE_KINDS, Bike, Customer, Figure, Unit
from forkwright.shop.records_job import (
    Finding,
    Job,
    LeakDown,
    Material,
    Note,
    Photo,
    SettingRecord,
)
from forkwright.shop.register import figures_for, unit_files
from forkwright.shop.search import board, search
from forkwright.shop.store import find
from forkwright.shop.timeline import timeline
from forkwright.shop.views import job_digest, job_line, job_view, of_job
from forkwright.shop.words import clean_text
from forkwright.units import InputError

_NOTHING_FOUND = {"result": "", "measured": "", "remark": "", "resolved": ""}
_NOT_ENTERED = {"value": "", "source": ""}
_FIGURE = ("id", "kind", "item", "value", "unit_name", "source")


def board_view(session: Session, *, all_jobs: bool = False) -> dict[str, Any]:
    """Return the jobs, those that can be finished first at the top."""
    return {"jobs": [job_line(session, job) for job in board(session, all_jobs=all_jobs)], "warnings": []}


def by_next_action(lines: list[dict[str, Any]], today: date) -> list[dict[str, Any]]:
    """Return the board's lines in groups of equal next action, in the board's order; late ones are marked."""
    groups: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for line in lines:
        late = line["due_on"] is not None and line["due_on"] < today.isoformat()
        groups.setdefault((line["stage"], line["next_action"]), []).append({**line, "late": late})
    return [{"stage": stage, "next_action": action, "jobs": jobs} for (stage, action), jobs in groups.items()]


def job_sheet(session: Session, number: int) -> dict[str, Any]:
    """Return a job as `job_view` tells it, with the ids and versions that changes are made on top of.

    `digest` is what a signature would stand for now.
    """
    job = job_by_number(session, number)
    view = job_view(session, job)
    changeable = {
        "notes": _with_ids(view["notes"], of_job(session, Note, job)),
        "photos": _with_ids(view["photos"], of_job(session, Photo, job)),
        "materials": _with_ids(view["materials"], of_job(session, Material, job)),
        "leak_downs": _with_ids(view["leak_downs"], of_job(session, LeakDown, job)),
    }
    return {
        **view,
        **changeable,
        "digest": job_digest(session, job),
        "moves": [stage for stage in MOVES[job.stage] if stage != "handed over"],
        "finding_versions": {each.item: each.version for each in of_job(session, Finding, job)},
        "setting_versions": {each.moment: each.version for each in of_job(session, SettingRecord, job)},
    }


def in_words(obstacles: list[str]) -> list[str]:
    """Return the obstacles with the check list's names in the place of its keys.

    Examples
    --------
    >>> in_words(["worn and not settled (bushing_play)"])
    ['worn and not settled (bushing play)']
    """
    names = {item.key: item.what.lower() for item in CHECK_LIST}
    key = re.compile(rf"\b({'|'.join(names)})\b(?=[,):]|$)")
    return [key.sub(lambda found: names[found[0]], each) for each in obstacles]


def inspection_lines(session: Session, sheet: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the check list of a job's unit: what to look at, how, the shop's limit, what was found."""
    unit = find(session, Unit, sheet["unit"]["id"], deleted_too=True)
    found = {row["item"]: row for row in sheet["findings"]}
    return [
        {
            **asdict(item),
            "limit": limit_for(session, unit, item.key) if item.measured else "",
            "found": found.get(item.key, _NOTHING_FOUND),
            "version": sheet["finding_versions"].get(item.key, 0),
        }
        for item in check_list(unit.kind)
    ]


def statements() -> dict[str, str]:
    """Return what each role signs for, as it is shown and as it is kept."""
    return {
        "technician": "Done and checked by the card.",
        "customer": f"Received, and told: {cautions()['first_ride']}",
    }


def step_cards(session: Session, sheet: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the step cards that fit a job's unit, each with the shop's figures it calls for."""
    entered = {
        f"{figure.kind}: {figure.item}": {"value": figure.value, "source": figure.source}
        for figure in reversed(figures_for(session, sheet["unit"]["name"]))
    }
    return [
        {
            **asdict(card),
            "figures": [{"name": name, **entered.get(name, _NOT_ENTERED)} for name in card.figures],
        }
        for card in cards_for(sheet["unit"]["kind"])
    ]


def unit_view(session: Session, unit_id: str) -> dict[str, Any]:
    """Return a unit with every version of its file, its jobs, and all that ever happened to it."""
    unit = find(session, Unit, unit_id)
    jobs = session.scalars(select(Job).where(Job.unit_id == unit.id).order_by(Job.number))
    customer = find(session, Customer, unit.customer_id, deleted_too=True) if unit.customer_id else None
    bike = find(session, Bike, unit.bike_id, deleted_too=True) if unit.bike_id else None
    events = [asdict(event) for event in timeline(session, unit)]
    back = any(event["clock_back"] for event in events)
    return {
        **{name: getattr(unit, name) for name in ("id", "kind", "name", "serial", "remark", "version")},
        "customer": None if customer is None else customer_view(customer),
        "bike": "" if bike is None else bike.name,
        "jobs": [job_line(session, job) for job in jobs],
        "files": [
            {
                "ordinal": file.ordinal,
                "at": moment_text(file.created_at),
                "reason": file.reason,
                "digest": file.digest,
            }
            for file in unit_files(session, unit.id)
        ],
        "figures": [
            {name: getattr(each, name) for name in _FIGURE} for each in figures_for(session, unit.name)
        ],
        "events": events,
        "warnings": (
            ["the computer's clock was turned back at times; the order is that of writing"] if back else []
        ),
    }


def all_figures(session: Session) -> dict[str, Any]:
    """Return the shop's own figures, and which check-list items a wear limit may name."""
    rows = session.scalars(select(Figure).order_by(Figure.unit_name, Figure.kind, Figure.item))
    return {
        "figures": [{name: getattr(row, name) for name in _FIGURE} for row in rows],
        "kinds": FIGURE_KINDS,
        "measured": [{"key": item.key, "what": item.what} for item in CHECK_LIST if item.measured],
    }


def unit_file_text(session: Session, unit_id: str, ordinal: int) -> str:
    """Return one version of a unit's file.

    Raises
    ------
    InputError
        There is no such unit or version.
    """
    unit = find(session, Unit, unit_id)
    for file in unit_files(session, unit.id):
        if file.ordinal == ordinal:
            return file.file_text
    raise InputError("the unit's file has no such version", key="ordinal", value=str(ordinal))


def customer_view(customer: Customer) -> dict[str, Any]:
    """Return a customer with the version to change it on top of."""
    return {name: getattr(customer, name) for name in ("id", "name", "phone", "email", "remark", "version")}


def found(session: Session, words: str) -> list[dict[str, Any]]:
    """Return what a search finds, each with the unit or job to open."""
    hits = []
    for hit in search(session, clean_text(words, what="words", longest=300)):
        place = f"/jobs/{hit.job}" if hit.job is not None else None
        if hit.kind == "unit":
            place = f"/jobs/unit/{hit.id}"
        hits.append({**asdict(hit), "place": place})
    return hits


def known_units(session: Session, most: int = 500) -> list[dict[str, str]]:
    """Return the units in the book for the intake form, the newest first."""
    units = session.scalars(select(Unit).order_by(Unit.created_at.desc()).limit(most)).all()
    return [{"id": unit.id, "name": unit.name, "serial": unit.serial, "kind": unit.kind} for unit in units]


def _with_ids(rows: list[dict[str, Any]], records: Any) -> list[dict[str, Any]]:
    """Put each record's id to its row; both are in the order of writing."""
    named: list[tuple[dict[str, Any], Record]] = list(zip(rows, records, strict=True))
    return [{**row, "id": record.id} for row, record in named]
