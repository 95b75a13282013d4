"""The Compare page: two forks for one rider, overlaid with bands, their difference, and nearest settings."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.adjusters import adjusters_of
from forkwright.app.damper_answer import damping_answer
from forkwright.app.drafts import Draft
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units
from forkwright.app.state import Drafts, Pages
from forkwright.app.wire import Answer
from forkwright.bench.answers import sag_answer, spring_answer
from forkwright.bench.damping import damping_curve
from forkwright.bench.loads import ForkLoad, fork_load
from forkwright.bench.sag import sag
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.sheets.compare_words import nearest_sentences, setting_words, summary_sentences
from forkwright.tune.compare import compare
from forkwright.tune.compare_answer import compare_answer
from forkwright.tune.nearest_spring import PUMP_STEP
from forkwright.units import Measure, UnitChoice, show

PAGE = Page("/compare", "Compare", 30, "Two forks side by side for one rider, and how B comes nearest to A")
router = APIRouter()

#: Draws of the tolerance bands on the page; the command line takes ten times as many.
DRAWS = 1000


class PairQuestion(BaseModel):
    """Two forks and who rides them."""

    model_config = ConfigDict(extra="forbid")

    a: Draft
    b: Draft
    rider: Draft
    bike: Draft
    units: Annotated[dict[str, str], Field(max_length=20)] = {}


@router.get("/compare", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "compare.html", title="Compare", charts=True)


@router.post("/api/compare/quick", tags=["compare"])
def quick(question: PairQuestion, drafts: Drafts) -> Answer:
    """Read both forks on the benches without bands: what follows a moving slider."""
    load = _load(question, drafts)
    sides = {name: _side(drafts.unit(getattr(question, name)), load) for name in ("a", "b")}
    return Answer(sides)


@router.post("/api/compare", tags=["compare"])
def full(question: PairQuestion, drafts: Drafts) -> Answer:
    """Compare with bands, sentences and the nearest setting, as `forkwright compare --json` does."""
    load = _load(question, drafts)
    units = chosen_units(question.units)
    bike = drafts.bike(question.bike)
    found = compare(
        drafts.unit(question.a),
        drafts.unit(question.b),
        float(load.axial),
        side_load=float(load.side),
        pump_step=bike.pump_step.si if bike.pump_step is not None else PUMP_STEP,
        draws=DRAWS,
    )
    nearest = found.nearest.setting if found.nearest is not None else None
    return Answer(
        compare_answer(found)
        | {
            "draws": DRAWS,
            "sentences": [*summary_sentences(found, units), *nearest_sentences(found, units)[1:]],
            "settings": {
                "a": setting_words(found.a.setting, units),
                "b": setting_words(found.b.setting, units),
            },
            "nearest_edits": _edits(nearest, found.b.setting, units),
            "equal_sag_edits": _edits(found.equal_sag, found.b.setting, units),
        }
    )


def _load(question: PairQuestion, drafts: Drafts) -> ForkLoad:
    return fork_load(drafts.rider(question.rider), drafts.bike(question.bike))


def _side(unit: Unit, load: ForkLoad) -> dict[str, Any]:
    rests = sag(unit, float(load.axial), side_load=float(load.side))
    return {
        "name": unit.name,
        "spring": spring_answer(spring_curve(unit)),
        "sag": sag_answer(rests),
        "damping": damping_answer(damping_curve(unit)) if unit.damper is not None else None,
        "adjusters": adjusters_of(unit),
    }


def _edits(wanted: Setting | None, now: Setting, units: UnitChoice) -> dict[str, Any] | None:
    """Return what to change on B's draft to give it a setting, as text with a unit."""
    if wanted is None:
        return None
    edits: dict[str, Any] = {}
    for name in type(wanted).model_fields:
        value, before = getattr(wanted, name), getattr(now, name)
        if value is None or value == before:
            continue
        if isinstance(value, Measure):
            kind = "length" if name == "preload" else "pressure"
            edits[f"setting.{name}"] = value.text or show(value.si, kind, units, 3)
        else:
            edits[f"setting.{name}"] = value
    return edits
