"""Jobs as JSON: the board, a job's sheet, and every change of it, which answers with the sheet after it.

What changes the book takes the store along, so it is imported where it is first called.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal

from fastapi import APIRouter, Body, Query, Response

from forkwright.app.acts import Call, asks_itself
from forkwright.app.wire import Answer
from forkwright.app.workshop import questions as ask
from forkwright.app.workshop.desk import Desk
from forkwright.app.workshop.job_shapes import BoardAnswer, JobSheet
from forkwright.app.workshop.routes import Number, RecordId, StoreRoute

router = APIRouter(route_class=StoreRoute)


def _job_change(method: Literal["POST", "PUT", "DELETE"], path: str) -> Callable[[Call], Call]:
    """Say of a call that it changes a job, asks by itself who may, and answers with the job's sheet."""

    def mark(call: Call) -> Call:
        return router.api_route(path, methods=[method], response_model=JobSheet)(asks_itself(call))

    return mark


@router.get("/jobs", response_model=BoardAnswer)
def board(desk: Desk, all_jobs: Annotated[bool, Query(alias="all")] = False) -> Answer:
    """List the jobs, those that can be finished first at the top."""
    from forkwright.app.workshop.views import board_view

    with desk.look() as session:
        return Answer(board_view(session, all_jobs=all_jobs))


@_job_change("POST", "/jobs")
def new_job(asked: ask.NewJob, desk: Desk) -> Answer:
    """Take in a unit."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.new_job(desk, asked))


@router.get("/jobs/{number}", response_model=JobSheet)
def job(number: Number, desk: Desk) -> Answer:
    """Tell everything about a job, with the versions that changes are made on top of."""
    from forkwright.app.workshop.views import job_sheet

    with desk.look() as session:
        return Answer(job_sheet(session, number))


@_job_change("PUT", "/jobs/{number}/intake")
def intake(number: Number, asked: ask.IntakeChange, desk: Desk) -> Answer:
    """Change what was written down at the counter."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.intake(desk, number, asked))


@_job_change("PUT", "/jobs/{number}/stage")
def stage(number: Number, asked: ask.StageChange, desk: Desk) -> Answer:
    """Bring a job to another stage."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.stage(desk, number, asked))


@_job_change("POST", "/jobs/{number}/notes")
def note(number: Number, asked: ask.NewNote, desk: Desk) -> Answer:
    """Write a line in the job's book."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.note(desk, number, asked.text))


@_job_change("PUT", "/jobs/{number}/findings/{item}")
def finding(number: Number, item: RecordId, asked: ask.FindingChange, desk: Desk) -> Answer:
    """Write one line of the inspection; a measured wear is held against the shop's own limit."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.finding(desk, number, item, asked))


@_job_change("POST", "/jobs/{number}/materials")
def material(number: Number, asked: ask.NewMaterial, desk: Desk) -> Answer:
    """Write down a part, oil or grease used."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.material(desk, number, asked))


@_job_change("POST", "/jobs/{number}/leak-downs")
def leak_down(number: Number, asked: ask.NewLeakDown, desk: Desk) -> Answer:
    """Write down a leak-down test."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.leak_down(desk, number, asked))


@_job_change("PUT", "/jobs/{number}/settings/{moment}")
def setting(
    number: Number, moment: Literal["before", "after"], asked: ask.SettingChange, desk: Desk
) -> Answer:
    """Write down a setting; one it leaves with must keep the limits in the unit's file."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.setting(desk, number, moment, asked))


@_job_change("PUT", "/jobs/{number}/conclusion")
def conclusion(number: Number, asked: ask.Conclusion, desk: Desk) -> Answer:
    """Write down what was done and when to come back."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.conclusion(desk, number, asked))


@_job_change("POST", "/jobs/{number}/signatures")
def signature(number: Number, asked: ask.NewSignature, desk: Desk) -> Answer:
    """Sign for the job as it was seen; refused when it was changed since."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.signature(desk, number, asked))


@_job_change("POST", "/jobs/{number}/handover")
def hand_over(number: Number, asked: ask.HandOver, desk: Desk) -> Answer:
    """Give the unit back, if nothing stands in the way."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.give_back(desk, number, asked.read_version))


@_job_change("DELETE", "/jobs/{number}/{kind}/{record_id}")
def remove(
    number: Number,
    kind: Literal["notes", "photos", "materials", "leak-downs"],
    record_id: RecordId,
    desk: Desk,
) -> Answer:
    """Mark one line as deleted; the audit trail keeps it."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.remove(desk, number, kind, record_id))


@_job_change("POST", "/pictures")
def picture(
    desk: Desk,
    number: Annotated[int, Query(alias="job", ge=0, le=2**31 - 1)],
    upload: Annotated[bytes, Body(media_type="application/octet-stream")] = b"",
    caption: Annotated[str, Query(max_length=300)] = "",
) -> Answer:
    """Take in a picture: JPEG, PNG or WebP by its content; it is written anew without hidden data."""
    from forkwright.app.workshop import job_writing

    return Answer(job_writing.photo(desk, number, upload, caption))


@router.get("/pictures/{digest}", response_class=Response)
def kept_picture(digest: RecordId, desk: Desk) -> Response:
    """Return a kept picture as JPEG."""
    from forkwright.shop.pictures import read_picture

    desk.person.allow("look")
    content = read_picture(desk.picture_folder, digest)
    return Response(content, media_type="image/jpeg", headers={"cache-control": "private, max-age=86400"})
