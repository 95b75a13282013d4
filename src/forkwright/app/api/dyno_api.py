"""Calls of the virtual dynamometer: a run is a job, for it may last minutes."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.damper_questions import DynoQuestion
from forkwright.app.dyno_shapes import DynoAnswer
from forkwright.app.state import Drafts, Jobs
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer
from forkwright.units import InputError

router = APIRouter(tags=["damper"])


@router.post("/api/damper/dyno", response_model=JobTaken)
@changes_nothing
def run(question: DynoQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Move a damper to and fro, as `forkwright dyno` does; a job's result."""
    from forkwright.app.dynamometer import dyno_work

    unit = drafts.unit(question.fork)
    work = dyno_work(unit, question)
    return {"job": jobs.submit(visitor, f"Dynamometer: {unit.name}", work).key}


@router.get("/api/damper/dyno/{key}", response_model=DynoAnswer)
def result(key: str, jobs: Jobs, visitor: Visitor) -> Answer:
    """Return the run of a finished job."""
    job = jobs.find(visitor, key)
    if job.state != "done" or not isinstance(job.result, dict) or "loops" not in job.result:
        raise InputError(f"the job is {job.state}; it holds no such result", key="job")
    found: dict[str, Any] = job.result
    return Answer(found)
