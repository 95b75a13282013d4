"""The Match page: what to set on B so that it feels like A, over the travel and the speeds really used."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api import courses_api
from forkwright.app.api.shapes import JobTaken
from forkwright.app.evidence.shelf import Files
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units, conditions_of, oil_temperature
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.tuning.drawer import drawer_from
from forkwright.app.tuning.logged import Log
from forkwright.app.tuning.questions import MatchQuestion, pump_steps
from forkwright.app.visitors import Visitor

PAGE = Page(
    "/match", "Match", 50, "Carry the feel of fork A over to fork B, what remains and why", group="Set-up"
)
router = APIRouter()
router.include_router(courses_api.router)


@router.get("/match", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "match.html", title="Match", charts=True)


@router.post("/api/match", tags=["tuning"], response_model=JobTaken)
@changes_nothing
def ask(
    question: MatchQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Match B to A, as `forkwright match --json` does; the answer is a job's result."""
    from forkwright.app.tuning.match_job import match_job

    a, b = drafts.unit(question.a), drafts.unit(question.b)
    rider, bike = drafts.rider(question.rider), drafts.bike(question.bike)
    units, oil = chosen_units(question.units), oil_temperature(question.oil_temperature)
    conditions_of(question.day)  # what cannot be read is said before the wait
    pump_steps(question, bike)
    if question.revalve.kind == "drawer":
        drawer_from(question.revalve.shims)
    log = None
    if question.use.kind == "log":
        log = Log(files.find(visitor, question.use.file), files, question.a, question.use.channel)
    job = jobs.submit(
        visitor,
        f"Match {b.name} to {a.name}",
        lambda tell: match_job(a, b, rider, bike, question, log, oil, units, tell),
    )
    return {"job": job.key}
