"""The Damper page: adjusters in clicks, force over speed, stacks built and bent, flow paths, cavitation.

The damper's bench takes a moment to import: that is done when first asked, so that the server is up at once.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.adjusters import adjusters_of
from forkwright.app.damper_shapes import (
    DamperAnswer,
    DamperBandAnswer,
    MapAnswer,
    SpeedAnswer,
    StacksAnswer,
)
from forkwright.app.drafts import Draft, edited_text
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units, oil_temperature
from forkwright.app.state import Drafts, Pages
from forkwright.app.wire import Answer
from forkwright.hardware import Unit
from forkwright.hardware.files import parse_toml
from forkwright.units import InputError

PAGE = Page("/damper", "Damper", 20, "Adjusters, shim stacks, force over speed, flow paths and cavitation")
router = APIRouter()

Kelvin = Annotated[str, Field(max_length=40)]
Units = Annotated[dict[str, str], Field(max_length=20)]
Speed = Annotated[float, Field(ge=-10.0, le=10.0, allow_inf_nan=False)]

MOST_DRAWS = 1000


class DamperQuestion(BaseModel):
    """One fork's damper at its setting and an oil temperature."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    oil_temperature: Kelvin = "20 °C"
    stiffening: bool = False


class SpeedQuestion(DamperQuestion):
    """The same at one shaft speed (m/s, positive in compression); `drawn` names the drawings the page has."""

    speed_m_s: Speed
    units: Units = {}
    drawn: Annotated[dict[str, Annotated[str, Field(max_length=64)]], Field(max_length=10)] = {}


class CurveQuestion(SpeedQuestion):
    """Over all speeds, and at one of them where one is given; a shock's also at the wheel.

    The bike and the share of the wheel's travel say where in its linkage a shock is read.
    """

    speed_m_s: Speed | None = None  # type: ignore[assignment]
    bike: Draft | None = None
    wheel_share: Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)] = 0.3


class BandQuestion(DamperQuestion):
    """Whose tolerances are to be carried through, with how many draws."""

    draws: Annotated[int, Field(ge=20, le=MOST_DRAWS)] = 60


class MapQuestion(DamperQuestion):
    """Over all clicks of one adjuster."""

    adjuster: Annotated[str, Field(max_length=40)]


@router.get("/damper", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    from forkwright.tune.compare_damper import DRAWS

    draws = {"few": DRAWS, "all": DRAWS}
    return pages.page(request, "damper.html", title="Damper", charts=True, data={"draws": draws})


@router.post("/api/damper", tags=["damper"], response_model=DamperAnswer)
@changes_nothing
def read(question: CurveQuestion, drafts: Drafts) -> Answer:
    """Read force, pressures and cavitation margin over the speed; paths and drawings at one speed only."""
    from forkwright.app.rear.wheel import damping_at_wheel
    from forkwright.bench.damping import damping_curve
    from forkwright.bench.damping_answer import damping_answer

    unit = drafts.unit(question.fork)
    oil = oil_temperature(question.oil_temperature)
    curve = damping_curve(unit, None, oil, stiffening=question.stiffening)
    clicks = [adjuster for adjuster in adjusters_of(unit) if adjuster["kind"] == "clicks"]
    damping = damping_answer(curve)
    del damping["by_path_N"]
    bike = drafts.bike(question.bike) if question.bike is not None else None
    wheel = damping_at_wheel(unit, bike, curve, question.wheel_share)
    at_speed = _at_speed(question, unit, question.speed_m_s) if question.speed_m_s is not None else None
    return Answer(
        {
            "name": unit.name,
            "kind": unit.kind,
            "damping": damping,
            "at_speed": at_speed,
            "adjusters": clicks,
            "wheel": wheel,
        }
    )


@router.post("/api/damper/stacks", tags=["damper"], response_model=StacksAnswer)
@changes_nothing
def stacks(question: DamperQuestion, drafts: Drafts) -> Answer:
    """List the shim stacks as the file writes them."""
    from forkwright.app.damper_answer import stack_lists

    text = edited_text(question.fork)
    document = parse_toml(text, question.fork.name)
    return Answer({"stacks": stack_lists(drafts.unit(question.fork), document)})


@router.post("/api/damper/speed", tags=["damper"], response_model=SpeedAnswer)
@changes_nothing
def at_speed(question: SpeedQuestion, drafts: Drafts) -> Answer:
    """Tell what every path does at one speed, and draw the stacks bent by it."""
    return Answer(_at_speed(question, drafts.unit(question.fork), question.speed_m_s))


@router.post("/api/damper/map", tags=["damper"], response_model=MapAnswer)
@changes_nothing
def cavitation(question: MapQuestion, drafts: Drafts) -> Answer:
    """Return the cavitation margin over speed and the clicks of one adjuster."""
    from forkwright.bench.damping_variations import cavitation_map

    unit = drafts.unit(question.fork)
    oil = oil_temperature(question.oil_temperature)
    found = cavitation_map(unit, question.adjuster, None, oil, stiffening=question.stiffening)
    return Answer(
        {
            "adjuster": found.adjuster,
            "speed_m_s": found.speed,
            "clicks": found.clicks,
            "margin_Pa": found.margin,
        }
    )


@router.post("/api/damper/bands", tags=["damper"], response_model=DamperBandAnswer)
@changes_nothing
def bands(question: BandQuestion, drafts: Drafts) -> Answer:
    """Carry the tolerances of the damper's measured parts through to a band of the force."""
    from forkwright.bench.damping import damping_curve
    from forkwright.bench.damping_variations import damping_bands

    if question.stiffening:
        raise InputError("bands are drawn of shims that bend alone", key="stiffening", value="true")
    unit = drafts.unit(question.fork)
    temperature = oil_temperature(question.oil_temperature)
    speed = damping_curve(unit, None, temperature).speed[::5]
    force = damping_bands(unit, None, temperature, speed, draws=question.draws)["force"]
    return Answer(
        {
            "draws": question.draws,
            "speed_m_s": speed,
            "force_low_N": force.low,
            "force_high_N": force.high,
        }
    )


def _at_speed(question: SpeedQuestion, unit: Unit, speed: float) -> dict[str, Any]:
    from forkwright.app.damper_answer import answer_at_speed

    oil, units = oil_temperature(question.oil_temperature), chosen_units(question.units)
    return answer_at_speed(unit, question.fork, speed, oil, units, question.drawn, question.stiffening)
