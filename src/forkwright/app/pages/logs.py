"""The Ride logs page: what a logged ride used of the travel, two runs compared, a simulated one beside it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api import evidence_api
from forkwright.app.api.shapes import DownloadAnswer, JobTaken
from forkwright.app.evidence.answer_shapes import WindowAnswer
from forkwright.app.evidence.questions import (
    CompareRidesQuestion,
    OverlayQuestion,
    RideLogQuestion,
    UseTableQuestion,
    WindowQuestion,
)
from forkwright.app.evidence.shelf import LARGEST_FILE, Files
from forkwright.app.navigation import Page
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.tuning.courses import chosen
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer

PAGE = Page(
    "/logs",
    "Ride logs",
    70,
    "What a logged ride used of the travel, what changed between two runs, and a simulated ride beside it",
    body_limits=((evidence_api.FILES, LARGEST_FILE + 1024),),
    group="Trail",
)
router = APIRouter()
router.include_router(evidence_api.router)


@router.get("/logs", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "logs.html", title="Ride logs", charts=True, data={"largest": LARGEST_FILE})


@router.post("/api/evidence/ride", tags=["evidence"], response_model=JobTaken)
@changes_nothing
def ride(
    question: RideLogQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Read a log as a ride, as `forkwright log --json` does; a job's result."""
    from forkwright.app.evidence.rides import ride_job

    held, unit = files.find(visitor, question.file), drafts.unit(question.fork)
    job = jobs.submit(
        visitor, f"Ride log {held.name}", lambda tell: ride_job(held, files, unit, question, tell)
    )
    return {"job": job.key}


@router.post("/api/evidence/window", tags=["evidence"], response_model=WindowAnswer)
@changes_nothing
def window(question: WindowQuestion, files: Files, drafts: Drafts, visitor: Visitor) -> Answer:
    """Return a stretch of a log for the screen: at most two samples for every column of the drawing."""
    from forkwright.app.evidence.rides import window_answer_of

    return Answer(window_answer_of(files.find(visitor, question.ride.file), files, drafts, question))


@router.post("/api/evidence/use", tags=["evidence"], response_model=DownloadAnswer)
@changes_nothing
def use(question: UseTableQuestion, files: Files, drafts: Drafts, visitor: Visitor) -> Answer:
    """Write the use of one or two rides, whole and by stretch, as `forkwright log --export` does."""
    from forkwright.app.evidence.rides import use_table

    logs = [(files.find(visitor, one.file), drafts.unit(one.fork), one) for one in question.rides]
    return Answer(use_table(logs, files, question.kind))


@router.post("/api/evidence/compare", tags=["evidence"], response_model=JobTaken)
@changes_nothing
def compare(
    question: CompareRidesQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Compare two runs, as `forkwright log A B --json` does; a job's result."""
    from forkwright.app.evidence.rides import compare_job

    first, second = (
        (files.find(visitor, one.file), drafts.unit(one.fork), one)
        for one in (question.first, question.second)
    )
    job = jobs.submit(
        visitor,
        f"Compare {first[0].name} with {second[0].name}",
        lambda tell: compare_job((first, second), files, tell),
    )
    return {"job": job.key}


@router.post("/api/evidence/overlay", tags=["evidence"], response_model=JobTaken)
@changes_nothing
def overlay(
    question: OverlayQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Lay a simulated ride over a log, as `forkwright log --course --json` does; a job's result."""
    from forkwright.app.evidence.rides import overlay_job

    held, unit = files.find(visitor, question.ride.file), drafts.unit(question.ride.fork)
    rider, bike = drafts.rider(question.rider), drafts.bike(question.bike)
    chosen(question.course)  # a wrong course is said before the wait
    job = jobs.submit(
        visitor,
        f"Simulated ride beside {held.name}",
        lambda tell: overlay_job((held, unit, question.ride), files, rider, bike, question.course, tell),
    )
    return {"job": job.key}
