"""Looking after heavy jobs: list, progress, result, cancel. Everybody sees their own."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobAnswer, JobResult, JobsAnswer
from forkwright.app.visitors import Visitor
from forkwright.units import InputError

router = APIRouter(prefix="/api/jobs", tags=["jobs"])


@router.get("", response_model=JobsAnswer, response_model_exclude_unset=True)
def listed(request: Request, visitor: Visitor) -> dict[str, Any]:
    """List this visitor's jobs, the latest first."""
    return {"jobs": [job.account() for job in request.app.state.jobs.listed(visitor)]}


@router.get("/{key}", response_model=JobAnswer, response_model_exclude_unset=True)
def progress(key: str, request: Request, visitor: Visitor) -> dict[str, Any]:
    """Tell how far a job is."""
    account: dict[str, Any] = request.app.state.jobs.find(visitor, key).account()
    return account


@router.get("/{key}/result", response_model=JobResult)
def result(key: str, request: Request, visitor: Visitor) -> Any:
    """Return what a finished job found."""
    job = request.app.state.jobs.find(visitor, key)
    if job.state != "done":
        raise InputError(f"the job is {job.state}; there is no result to show", key="job")
    return job.result


@router.delete("/{key}", response_model=JobAnswer, response_model_exclude_unset=True)
@changes_nothing
def cancel(key: str, request: Request, visitor: Visitor) -> dict[str, Any]:
    """Ask a job to stop."""
    account: dict[str, Any] = request.app.state.jobs.cancel(visitor, key).account()
    return account
