"""The Fork page: measured parts, sliders, the cut-away that moves, and the spring's curves.

It serves shocks as well, with the curves at the rear wheel and the leverage they come through.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.adjusters import adjusters_of
from forkwright.app.answer_shapes import ForkAnswer, ForkBandAnswer
from forkwright.app.api import hose_chassis_api, leverage_api, papers_api, stated_load_api
from forkwright.app.drafts import Draft, DraftReader
from forkwright.app.drawings import View, drawing_answer
from forkwright.app.navigation import Page
from forkwright.app.question import Day, chosen_units, conditions_of
from forkwright.app.rear.wheel import coil_told, stands, wheel_answer
from forkwright.app.state import Drafts, Pages
from forkwright.app.wire import Answer
from forkwright.bench.answers import spring_answer
from forkwright.bench.bands import DRAWS, spring_bands
from forkwright.bench.spring import spring_curve

PAGE = Page("/fork", "Fork", 10, "Parts, sliders, cut-away drawing and spring curves of a fork or a shock")
router = APIRouter()

#: How the gas warms on its way: 1 pushed in slowly, 1.4 at once.
Exponent = Annotated[float, Field(ge=1.0, le=1.67, allow_inf_nan=False)]

#: Draws of the band that comes first when a slider rests; the bench's own number follows.
FEW_DRAWS = 2000
router.include_router(leverage_api.router)
router.include_router(hose_chassis_api.router)
router.include_router(stated_load_api.router)
router.include_router(papers_api.router)


class ForkQuestion(BaseModel):
    """One fork at one setting, and who rides it."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    rider: Draft | None = None
    bike: Draft | None = None
    view: View = "spring"
    drawn: Annotated[str | None, Field(max_length=64)] = None
    units: Annotated[dict[str, str], Field(max_length=20)] = {}
    day: Day = Day()
    exponent: Exponent = 1.0


class BandQuestion(BaseModel):
    """One fork whose tolerances are to be carried through."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    draws: Annotated[int, Field(ge=20, le=DRAWS)] = DRAWS
    day: Day = Day()
    exponent: Exponent = 1.0


@router.get("/fork", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    draws = {"few": FEW_DRAWS, "all": DRAWS}
    return pages.page(request, "fork.html", title="Fork", charts=True, data={"draws": draws})


@router.post("/api/fork", tags=["fork"], response_model=ForkAnswer)
@changes_nothing
def read(question: ForkQuestion, drafts: Drafts) -> Answer:
    """Read the spring bench at one setting: curve, sag, adjusters, and the drawing's positions."""
    return Answer(read_bench(drafts, question))


@router.post("/api/fork/bands", tags=["fork"], response_model=ForkBandAnswer)
@changes_nothing
def bands(question: BandQuestion, drafts: Drafts) -> Answer:
    """Carry the tolerances of the measured parts through to a band of the force."""
    unit = drafts.unit(question.fork)
    points = 81
    day, exponent = conditions_of(question.day), question.exponent
    force = spring_bands(unit, None, day, exponent=exponent, points=points, draws=question.draws)["force"]
    travel = spring_curve(unit, points=points).travel
    return Answer(
        {
            "draws": question.draws,
            "travel_m": travel,
            "force_low_N": force.low,
            "force_high_N": force.high,
        }
    )


def read_bench(drafts: DraftReader, question: ForkQuestion) -> dict[str, Any]:
    """Return the answer to a question about one fork, as in `ForkAnswer`."""
    unit = drafts.unit(question.fork)
    units = chosen_units(question.units)
    day = conditions_of(question.day)
    curve = spring_curve(unit, None, day, exponent=question.exponent)
    rider = drafts.rider(question.rider) if question.rider is not None else None
    bike = drafts.bike(question.bike) if question.bike is not None else None
    rests, wheel = stands(unit, rider, bike, day), wheel_answer(curve, bike, day)
    notes = [*curve.warnings, *rests.warnings, *(wheel["warnings"] if wheel is not None else ())]
    return {
        "name": unit.name,
        "kind": unit.kind,
        "spring": spring_answer(curve),
        "sag": rests.sag,
        "wheel": wheel,
        "wheel_sag": rests.wheel_sag,
        "coil": coil_told(unit),
        "adjusters": adjusters_of(unit),
        "drawing": drawing_answer(
            unit,
            question.fork,
            curve,
            question.view,
            units,
            question.drawn,
            ambient=day.ambient_pressure,
        ),
        "warnings": list(dict.fromkeys(notes)),
    }
