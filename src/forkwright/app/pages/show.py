"""The Show page: one fork, or two side by side, cut away and moving through a stroke, each step explained."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.drafts import Draft
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units
from forkwright.app.show_shapes import ShowAnswer
from forkwright.app.state import Drafts, Pages
from forkwright.app.wire import Answer

PAGE = Page("/show", "Show", 40, "A moving, labelled cut-away through a stroke, each step explained")
router = APIRouter()


class ShowQuestion(BaseModel):
    """One or two forks, who rides them, and how fast the stroke is."""

    model_config = ConfigDict(extra="forbid")

    forks: Annotated[list[Draft], Field(min_length=1, max_length=2)]
    rider: Draft
    bike: Draft
    speed_m_s: Annotated[float, Field(gt=0.0, le=5.0, allow_inf_nan=False)] = 1.0
    units: Annotated[dict[str, str], Field(max_length=20)] = {}


@router.get("/show", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "show.html", title="Show")


@router.post("/api/show", tags=["show"], response_model=ShowAnswer)
@changes_nothing
def stroke(question: ShowQuestion, drafts: Drafts) -> Answer:
    """Return drawings, positions, chamber pressures and the story of a stroke."""
    from forkwright.app.show_answer import show_answer

    return Answer(
        show_answer(
            [drafts.unit(draft) for draft in question.forks],
            question.forks,
            drafts.rider(question.rider),
            drafts.bike(question.bike),
            question.speed_m_s,
            chosen_units(question.units),
        )
    )
