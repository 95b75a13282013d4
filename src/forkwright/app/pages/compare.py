"""The Compare page: two forks for one rider, overlaid with bands, their difference, and nearest settings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.compare_shapes import CompareAnswer, SideAnswer
from forkwright.app.drafts import Draft, DraftReader
from forkwright.app.navigation import Page
from forkwright.app.question import Day, chosen_units, conditions_of
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer, plain
from forkwright.hardware import Bike, Rider, Unit

PAGE = Page("/compare", "Compare", 30, "Two forks side by side for one rider, and how B comes nearest to A")
router = APIRouter()


class SideQuestion(BaseModel):
    """One of the two forks and who rides it."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    rider: Draft
    bike: Draft
    day: Day = Day()


DRAWS = 10_000
"""As many as the command line draws."""


class PairQuestion(BaseModel):
    """Two forks and who rides them."""

    model_config = ConfigDict(extra="forbid")

    a: Draft
    b: Draft
    rider: Draft
    bike: Draft
    units: Annotated[dict[str, str], Field(max_length=20)] = {}
    day: Day = Day()
    draws: Annotated[int, Field(ge=100, le=DRAWS)] = 1000


@router.get("/compare", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "compare.html", title="Compare", charts=True)


@router.post("/api/compare/side", tags=["compare"], response_model=SideAnswer)
@changes_nothing
def side(question: SideQuestion, drafts: Drafts) -> Answer:
    """Read one fork on the benches without bands: what follows a moving slider."""
    from forkwright.app.compare_answer import side_answer

    rider, bike = drafts.rider(question.rider), drafts.bike(question.bike)
    return Answer(side_answer(drafts.unit(question.fork), rider, bike, conditions_of(question.day)))


@router.post("/api/compare", tags=["compare"], response_model=CompareAnswer)
@changes_nothing
def whole(question: PairQuestion, drafts: Drafts) -> Answer:
    """Compare with bands, sentences and the nearest setting, as `forkwright compare --json` does."""
    from forkwright.app.compare_answer import whole_answer

    units, day = chosen_units(question.units), conditions_of(question.day)
    return Answer(whole_answer(*_read(question, drafts), units, day, question.draws))


@router.post("/api/compare/job", tags=["compare"], response_model=JobTaken)
@changes_nothing
def handed_in(question: PairQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Compare with as many draws as the command line takes; the answer is a job's result."""
    from forkwright.app.compare_answer import whole_answer
    from forkwright.tune.alike import check_alike

    a, b, rider, bike = _read(question, drafts)
    units, day = chosen_units(question.units), conditions_of(question.day)
    check_alike(a, b, "compared")

    def work(tell: Callable[[float, str], None]) -> dict[str, Any]:
        found: dict[str, Any] = plain(whole_answer(a, b, rider, bike, units, day, DRAWS, tell))
        return found

    return {"job": jobs.submit(visitor, f"Compare {a.name} and {b.name}", work).key}


def _read(question: PairQuestion, drafts: DraftReader) -> tuple[Unit, Unit, Rider, Bike]:
    return (
        drafts.unit(question.a),
        drafts.unit(question.b),
        drafts.rider(question.rider),
        drafts.bike(question.bike),
    )
