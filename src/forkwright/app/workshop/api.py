"""The workshop's book as JSON; what the pages send and anyone on this machine may."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, Path, Query, Response

from forkwright.app.acts import asks_itself
from forkwright.app.question import chosen_units
from forkwright.app.wire import Answer
from forkwright.app.workshop import questions as ask
from forkwright.app.workshop.desk import Desk, DeskNow
from forkwright.app.workshop.routes import StoreRoute

PREFIX = "/api/workshop"
PICTURES = f"{PREFIX}/pictures"

Number = Annotated[int, Path(ge=0, le=2**31 - 1)]
RecordId = Annotated[str, Path(pattern="^[0-9a-z_]{1,64}$")]
Pressure = Annotated[Literal["psi", "bar", "kPa"], Query()]
Length = Annotated[Literal["mm", "in"], Query()]
Temperature = Annotated[Literal["°C", "°F"], Query()]

router = APIRouter(
    prefix=PREFIX,
    tags=["workshop"],
    route_class=StoreRoute,
    responses={
        403: {"description": "this account's role may not do that"},
        409: {"description": "someone else was faster: each field as both started, mine and theirs"},
        422: {"description": "wrong input, in one sentence"},
        503: {"description": "a trouble of the store, in words"},
    },
)


@router.get("/jobs")
def board(desk: Desk, all_jobs: Annotated[bool, Query(alias="all")] = False) -> Answer:
    """List the jobs, those that can be finished first at the top."""
    from forkwright.app.workshop.views import board_view

    with desk.look() as session:
        return Answer(board_view(session, all_jobs=all_jobs))


@router.post("/jobs")
@asks_itself
def new_job(asked: ask.NewJob, desk: Desk) -> Answer:
    """Take in a unit."""
    return Answer(_write().new_job(desk, asked))


@router.get("/jobs/{number}")
def job(number: Number, desk: Desk) -> Answer:
    """Tell everything about a job, with the versions that changes are made on top of."""
    from forkwright.app.workshop.views import job_sheet

    with desk.look() as session:
        return Answer(job_sheet(session, number))


@router.put("/jobs/{number}/intake")
@asks_itself
def intake(number: Number, asked: ask.IntakeChange, desk: Desk) -> Answer:
    """Change what was written down at the counter."""
    return Answer(_write().intake(desk, number, asked))


@router.put("/jobs/{number}/stage")
@asks_itself
def stage(number: Number, asked: ask.StageChange, desk: Desk) -> Answer:
    """Bring a job to another stage."""
    return Answer(_write().stage(desk, number, asked))


@router.post("/jobs/{number}/notes")
@asks_itself
def note(number: Number, asked: ask.NewNote, desk: Desk) -> Answer:
    """Write a line in the job's book."""
    return Answer(_write().note(desk, number, asked.text))


@router.put("/jobs/{number}/findings/{item}")
@asks_itself
def finding(number: Number, item: RecordId, asked: ask.FindingChange, desk: Desk) -> Answer:
    """Write one line of the inspection; a measured wear is held against the shop's own limit."""
    return Answer(_write().finding(desk, number, item, asked))


@router.post("/jobs/{number}/materials")
@asks_itself
def material(number: Number, asked: ask.NewMaterial, desk: Desk) -> Answer:
    """Write down a part, oil or grease used."""
    return Answer(_write().material(desk, number, asked))


@router.post("/jobs/{number}/leak-downs")
@asks_itself
def leak_down(number: Number, asked: ask.NewLeakDown, desk: Desk) -> Answer:
    """Write down a leak-down test."""
    return Answer(_write().leak_down(desk, number, asked))


@router.put("/jobs/{number}/settings/{moment}")
@asks_itself
def setting(
    number: Number, moment: Literal["before", "after"], asked: ask.SettingChange, desk: Desk
) -> Answer:
    """Write down a setting; one it leaves with must keep the limits in the unit's file."""
    return Answer(_write().setting(desk, number, moment, asked))


@router.put("/jobs/{number}/conclusion")
@asks_itself
def conclusion(number: Number, asked: ask.Conclusion, desk: Desk) -> Answer:
    """Write down what was done and when to come back."""
    return Answer(_write().conclusion(desk, number, asked))


@router.post("/jobs/{number}/signatures")
@asks_itself
def signature(number: Number, asked: ask.NewSignature, desk: Desk) -> Answer:
    """Sign for the job as it was seen; refused when it was changed since."""
    return Answer(_write().signature(desk, number, asked))


@router.post("/jobs/{number}/handover")
@asks_itself
def hand_over(number: Number, asked: ask.HandOver, desk: Desk) -> Answer:
    """Give the unit back, if nothing stands in the way."""
    return Answer(_write().give_back(desk, number, asked.read_version))


@router.delete("/jobs/{number}/{kind}/{record_id}")
@asks_itself
def remove(
    number: Number,
    kind: Literal["notes", "photos", "materials", "leak-downs"],
    record_id: RecordId,
    desk: Desk,
) -> Answer:
    """Mark one line as deleted; the audit trail keeps it."""
    return Answer(_write().remove(desk, number, kind, record_id))


@router.post("/pictures")
@asks_itself
def picture(
    desk: Desk,
    upload: Annotated[bytes, Body(media_type="application/octet-stream")],
    number: Annotated[int, Query(alias="job", ge=0, le=2**31 - 1)],
    caption: Annotated[str, Query(max_length=300)] = "",
) -> Answer:
    """Take in a picture: JPEG, PNG or WebP by its content; it is written anew without hidden data."""
    return Answer(_write().photo(desk, number, upload, caption))


@router.get("/pictures/{digest}", response_class=Response)
def kept_picture(digest: RecordId, desk: Desk) -> Response:
    """Return a kept picture as JPEG."""
    from forkwright.shop.pictures import read_picture

    desk.person.allow("look")
    content = read_picture(desk.picture_folder, digest)
    return Response(content, media_type="image/jpeg", headers={"cache-control": "private, max-age=86400"})


@router.get("/jobs/{number}/card.pdf", response_class=Response)
def card(
    number: Number,
    desk: Desk,
    paper: Annotated[Literal["a5", "a4"], Query()] = "a5",
    pressure: Pressure = "psi",
    length: Length = "mm",
    temperature: Temperature = "°C",
) -> Response:
    """Return the one-page set-up card with a QR code of the settings."""
    from forkwright.app.workshop import papers

    units = chosen_units({"pressure": pressure, "length": length, "temperature": temperature})
    return papers.card(desk, number, paper, units)


@router.get("/jobs/{number}/report.pdf", response_class=Response)
def report(
    number: Number,
    desk: Desk,
    pressure: Pressure = "psi",
    length: Length = "mm",
    temperature: Temperature = "°C",
) -> Response:
    """Return the full report with curves before and after."""
    from forkwright.app.workshop import papers

    units = chosen_units({"pressure": pressure, "length": length, "temperature": temperature})
    return papers.report(desk, number, units)


@router.get("/jobs/{number}/pressures.xlsx", response_class=Response)
def pressures(
    number: Number,
    desk: Desk,
    pressure: Pressure = "psi",
    length: Length = "mm",
    temperature: Temperature = "°C",
) -> Response:
    """Return the spreadsheet of gauge pressure against temperature, with live formulas."""
    from forkwright.app.workshop import papers

    units = chosen_units({"pressure": pressure, "length": length, "temperature": temperature})
    return papers.pressures(desk, number, units)


@router.get("/units/{unit_id}")
def unit(unit_id: RecordId, desk: Desk) -> Answer:
    """Tell everything about a unit: versions of its file, jobs, all that ever happened to it."""
    from forkwright.app.workshop.views import unit_view

    with desk.look() as session:
        return Answer(unit_view(session, unit_id))


@router.post("/units/{unit_id}/files")
@asks_itself
def unit_file(unit_id: RecordId, asked: ask.NewUnitFile, desk: Desk) -> Answer:
    """Keep a new version of a unit's file."""
    return Answer(_write().unit_file(desk, unit_id, asked))


@router.get("/units/{unit_id}/files/{ordinal}", response_class=Response)
def kept_file(unit_id: RecordId, ordinal: Number, desk: Desk) -> Response:
    """Return one version of a unit's file as it was kept."""
    text = _file_text(desk, unit_id, ordinal)[1]
    name = f'attachment; filename="unit-version-{ordinal}.toml"'
    return Response(text, media_type="application/toml", headers={"content-disposition": name})


@router.get("/search")
def search(desk: Desk, words: Annotated[str, Query(max_length=300)]) -> Answer:
    """Find customers, units, jobs, notes, parts and figures in which every word occurs."""
    from forkwright.app.workshop.views import found

    with desk.look() as session:
        return Answer({"hits": found(session, words), "warnings": []})


@router.post("/figures")
@asks_itself
def figure(asked: ask.NewFigure, desk: Desk) -> Answer:
    """Enter one of the shop's own figures from the maker's manual."""
    return Answer(_write().figure(desk, asked))


@router.delete("/figures/{figure_id}")
@asks_itself
def remove_figure(figure_id: RecordId, desk: Desk) -> Answer:
    """Mark a figure as deleted."""
    return Answer(_write().remove_figure(desk, figure_id))


@router.put("/customers/{customer_id}")
@asks_itself
def customer(customer_id: RecordId, asked: ask.CustomerChange, desk: Desk) -> Answer:
    """Change a customer."""
    return Answer(_write().customer(desk, customer_id, asked))


def _file_text(desk: DeskNow, unit_id: str, ordinal: int) -> tuple[str, str]:
    from forkwright.app.workshop.views import unit_file_text

    with desk.look() as session:
        return unit_file_text(session, unit_id, ordinal)


def _write() -> Any:
    """Return the module of changes; it takes the store along, so it is imported when first needed."""
    from forkwright.app.workshop import writing

    return writing
