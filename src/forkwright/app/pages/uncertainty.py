"""The Uncertainty page: how sure every answer is, and which measurement to repeat."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units, conditions_of, oil_temperature
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.tuning.questions import UncertaintyQuestion
from forkwright.app.visitors import Visitor

PAGE = Page(
    "/uncertainty",
    "Uncertainty",
    65,
    "How sure the answers are, and which measurement to repeat",
    group="Proof",
)
router = APIRouter()


@router.get("/uncertainty", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "uncertainty.html", title="Uncertainty", charts=True)


@router.post("/api/uncertainty", tags=["tuning"], response_model=JobTaken)
@changes_nothing
def ask(question: UncertaintyQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Carry the tolerances through, as `forkwright uncertainty --json` does; a job's result."""
    from forkwright.app.tuning.uncertainty_job import load_on, uncertainty_job

    unit, rider, bike = drafts.unit(question.fork), drafts.rider(question.rider), drafts.bike(question.bike)
    against = drafts.unit(question.against) if question.against is not None else None
    units = chosen_units(question.units)
    load_on(unit, rider, bike, question)  # what cannot be read is said before the wait
    conditions_of(question.day)
    oil_temperature(question.oil_temperature)
    job = jobs.submit(
        visitor,
        f"How sure: {unit.name}",
        lambda tell: uncertainty_job(unit, against, rider, bike, question, units, tell),
    )
    return {"job": job.key}
