"""The Bench traces page: pulls, dynamometer traces and leak-downs beside the model, and fitting to them."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.evidence.questions import FitQuestion, LeakQuestion, TraceQuestion
from forkwright.app.evidence.shelf import LARGEST_FILE, Files
from forkwright.app.navigation import Page
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.visitors import Visitor

PAGE = Page(
    "/traces",
    "Bench traces",
    72,
    "Slow pulls, dynamometer traces and leak-downs beside the model, and fitting the unit to them",
    group="Proof",
)
router = APIRouter()


@router.get("/traces", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(
        request, "traces.html", title="Bench traces", charts=True, data={"largest": LARGEST_FILE}
    )


@router.post("/api/evidence/traces", tags=["evidence"], response_model=JobTaken)
@changes_nothing
def traces(
    question: TraceQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Lay traces beside what the virtual bench reads for the unit as it is; a job's result."""
    from forkwright.app.evidence.benches import on_the_bench, traces_job

    held, unit = [files.find(visitor, key) for key in question.files], drafts.unit(question.fork)
    bench = on_the_bench(unit, question)
    job = jobs.submit(
        visitor, f"Bench traces of {unit.name}", lambda tell: traces_job(held, files, unit, bench, tell)
    )
    return {"job": job.key}


@router.post("/api/evidence/fit", tags=["evidence"], response_model=JobTaken)
@changes_nothing
def fit(question: FitQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Fit a unit to traces, as `forkwright fit --json` does; a job's result proposes the changes."""
    from forkwright.app.evidence.benches import fit_job, on_the_bench

    held, unit = [files.find(visitor, key) for key in question.files], drafts.unit(question.fork)
    bench = on_the_bench(unit, question)
    job = jobs.submit(
        visitor, f"Fit {unit.name}", lambda tell: fit_job(held, files, unit, bench, question, tell)
    )
    return {"job": job.key}


@router.post("/api/evidence/leak", tags=["evidence"], response_model=JobTaken)
@changes_nothing
def leak(
    question: LeakQuestion, files: Files, drafts: Drafts, jobs: Jobs, visitor: Visitor
) -> dict[str, str]:
    """Find leak rates and the gas's way, as `forkwright leakdown --json` does; a job's result."""
    from forkwright.app.evidence.benches import ambient_of, leak_job

    held, ambient = files.find(visitor, question.file), ambient_of(question)
    unit = drafts.unit(question.fork) if question.fork is not None else None
    job = jobs.submit(
        visitor, f"Leak-down {held.name}", lambda tell: leak_job(held, files, unit, ambient, question, tell)
    )
    return {"job": job.key}
