"""The call that looks for stacks nearest to target forces: a search is a job, for it may take minutes."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.drafts import Draft
from forkwright.app.question import Text
from forkwright.app.state import Drafts, Jobs
from forkwright.app.visitors import Visitor

router = APIRouter(tags=["damper"])


class TargetQuestion(BaseModel):
    """A wanted force at a shaft speed, each with its unit; rebound needs no minus signs."""

    model_config = ConfigDict(extra="forbid")

    speed: Text
    force: Text


class StacksWanted(BaseModel):
    """Which valve is to be built anew, for which forces at the draft's clicks, from which shims.

    `shims` has one size a line, such as "3 of 19.0 x 0.20 mm".
    """

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    valve: Literal["base", "rebound", "mid"]
    targets: Annotated[list[TargetQuestion], Field(max_length=5)]
    shims: Annotated[str, Field(max_length=8000)]
    oil_temperature: Text = "20 °C"
    most_discs: Annotated[int, Field(ge=1, le=40)] = 10
    budget: Annotated[int, Field(ge=1, le=20_000)] = 2000
    keep: Annotated[int, Field(ge=1, le=50)] = 5


@router.post("/api/damper/revalve", response_model=JobTaken)
@changes_nothing
def revalve(question: StacksWanted, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Propose shim stacks as `forkwright revalve --json` does; a job's result."""
    from forkwright.app.revalving import revalve_work

    unit = drafts.unit(question.fork)
    return {"job": jobs.submit(visitor, f"Stacks for {unit.name}", revalve_work(unit, question)).key}
