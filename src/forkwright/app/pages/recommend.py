"""The Recommend page: settings for a rider, a bike, courses and wishes, with the trade-off behind them."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.evidence.shelf import Files
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units, conditions_of
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.tuning.logged import Log
from forkwright.app.tuning.questions import RecommendQuestion, pump_steps
from forkwright.app.tuning.ride_fields import DAMPING_DATA, ride_options
from forkwright.app.visitors import Visitor

PAGE = Page(
    "/recommend",
    "Recommend",
    55,
    "Settings to start with for a rider, courses and wishes, and why",
    group="Set-up",
)
router = APIRouter()


@router.get("/recommend", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "recommend.html", title="Recommend", charts=True, data=DAMPING_DATA)


@router.post("/api/recommend", tags=["tuning"], response_model=JobTaken)
@changes_nothing
def ask(
    question: RecommendQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Search settings over simulated rides, as `forkwright recommend --json` does; a job's result."""
    from forkwright.app.tuning.courses import chosen
    from forkwright.app.tuning.search_jobs import recommend_job

    unit, rider, bike = drafts.unit(question.fork), drafts.rider(question.rider), drafts.bike(question.bike)
    units = chosen_units(question.units)
    for choice in question.courses:
        chosen(choice)  # a wrong course is said before the wait
    ride_options(question)
    conditions_of(question.day)
    pump_steps(question, bike)
    log = None
    if question.log is not None:
        log = Log(files.find(visitor, question.log.file), files, question.fork, question.log.channel)
    job = jobs.submit(
        visitor,
        f"Recommend settings of {unit.name}",
        lambda tell: recommend_job(unit, rider, bike, question, log, units, tell),
    )
    return {"job": job.key}
