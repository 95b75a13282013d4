"""The Stages page: one build for a race of several stages, what to turn before each, and a card for it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.tuning.questions import StagesQuestion, pump_steps
from forkwright.app.tuning.ride_fields import DAMPING_DATA, ride_options
from forkwright.app.visitors import Visitor

PAGE = Page(
    "/stages",
    "Stages",
    60,
    "One build for a race of several stages, and what to turn before each",
    group="Set-up",
)
router = APIRouter()


@router.get("/stages", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "stages.html", title="Stages", charts=True, data=DAMPING_DATA)


@router.post("/api/stages", tags=["tuning"], response_model=JobTaken)
@changes_nothing
def ask(question: StagesQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Plan a race, as `forkwright stages --json` does; a job's result, with the top-tube card."""
    from forkwright.app.tuning.courses import chosen
    from forkwright.app.tuning.search_jobs import stages_job

    unit, rider, bike = drafts.unit(question.fork), drafts.rider(question.rider), drafts.bike(question.bike)
    units = chosen_units(question.units)
    for stage in question.race:
        chosen(stage.course)  # a wrong course is said before the wait
    ride_options(question)
    pump_steps(question, bike)
    job = jobs.submit(
        visitor,
        f"Race stages with {unit.name}",
        lambda tell: stages_job(unit, rider, bike, question, units, tell),
    )
    return {"job": job.key}
