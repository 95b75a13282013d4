"""The Compare page: two forks for one rider, overlaid with bands, their difference, and nearest settings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, NamedTuple

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
from forkwright.app.tuning.questions import PumpQuestion, PumpSteps, pump_steps
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer, plain
from forkwright.bench.conditions import Conditions
from forkwright.hardware import Bike, Rider, Unit
from forkwright.units import UnitChoice

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


class PairQuestion(PumpQuestion, BaseModel):
    """Two forks, who rides them, and the smallest steps of the pump that sets them."""

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

    return Answer(whole_answer(*_read(question, drafts), question.draws))


@router.post("/api/compare/job", tags=["compare"], response_model=JobTaken)
@changes_nothing
def handed_in(question: PairQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Compare with as many draws as the command line takes; the answer is a job's result."""
    from forkwright.app.compare_answer import whole_answer

    pair = _alike(question, drafts)

    def work(tell: Callable[[float, str], None]) -> dict[str, Any]:
        found: dict[str, Any] = plain(whole_answer(*pair, DRAWS, tell))
        return found

    return {"job": jobs.submit(visitor, f"Compare {pair.a.name} and {pair.b.name}", work).key}


@router.post("/api/compare/report", tags=["compare"], response_model=JobTaken)
@changes_nothing
def report(question: PairQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Write the report of `forkwright compare --report`, with as many draws; a job's result.

    The result has the `name` of the file, its media `type`, and the file itself as `base64`.
    """
    from forkwright.app.compare_answer import report_answer

    pair = _alike(question, drafts)
    title = f"Report of {pair.a.name} and {pair.b.name}"
    return {"job": jobs.submit(visitor, title, lambda tell: report_answer(*pair, DRAWS, tell)).key}


class _Pair(NamedTuple):
    a: Unit
    b: Unit
    rider: Rider
    bike: Bike
    units: UnitChoice
    day: Conditions
    steps: PumpSteps


def _alike(question: PairQuestion, drafts: DraftReader) -> _Pair:
    """Return what was asked; a fork beside a shock is said before the wait."""
    from forkwright.tune.alike import check_alike

    pair = _read(question, drafts)
    check_alike(pair.a, pair.b, "compared")
    return pair


def _read(question: PairQuestion, drafts: DraftReader) -> _Pair:
    bike = drafts.bike(question.bike)
    return _Pair(
        drafts.unit(question.a),
        drafts.unit(question.b),
        drafts.rider(question.rider),
        bike,
        chosen_units(question.units),
        conditions_of(question.day),
        pump_steps(question, bike),
    )
