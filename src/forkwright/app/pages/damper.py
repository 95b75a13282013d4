"""The Damper page: adjusters in clicks, force over speed, stacks built and bent, flow paths, cavitation.

The damper's bench takes a moment to import: that is done when first asked, so that the server is up at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.adjusters import adjusters_of
from forkwright.app.api import dyno_api, loose_stack_api, revalve_api
from forkwright.app.damper_questions import (
    CurveQuestion,
    DamperBandQuestion,
    DamperQuestion,
    MapQuestion,
    SpeedQuestion,
    SpeedsQuestion,
    oil_and_place,
)
from forkwright.app.damper_shapes import (
    ClicksReply,
    DamperAnswer,
    DamperBandAnswer,
    MapAnswer,
    OpeningsAnswer,
    SpeedAnswer,
    SpeedsAnswer,
    StacksAnswer,
)
from forkwright.app.drafts import DraftReader, edited_text
from forkwright.app.jobs import Tell
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.visitors import Visitor
from forkwright.app.while_wanted import while_wanted
from forkwright.app.wire import Answer, plain
from forkwright.hardware import Unit
from forkwright.hardware.files import parse_toml
from forkwright.units import InputError
from forkwright.units.typed_in import read_speeds

PAGE = Page("/damper", "Damper", 20, "Adjusters, shim stacks, force over speed, flow paths and cavitation")
router = APIRouter()

router.include_router(dyno_api.router)
router.include_router(revalve_api.router)
router.include_router(loose_stack_api.router)


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
    unit = drafts.unit(question.fork)
    clicks = [adjuster for adjuster in adjusters_of(unit) if adjuster["kind"] == "clicks"]
    curves = _curves(unit, question, drafts)
    at_speed = _at_speed(question, unit, question.speed_m_s) if question.speed_m_s is not None else None
    told = {"name": unit.name, "kind": unit.kind, **curves, "at_speed": at_speed, "adjusters": clicks}
    return Answer(told)


@router.post("/api/damper/speeds", tags=["damper"], response_model=SpeedsAnswer)
@changes_nothing
def at_speeds(question: SpeedsQuestion, drafts: Drafts) -> Answer:
    """Read the damper at chosen speeds, as `forkwright damper --speeds` does; a shock's also at the wheel."""
    unit = drafts.unit(question.fork)
    return Answer(_curves(unit, question, drafts, read_speeds(question.speeds, "speeds")))


@router.post("/api/damper/clicks", tags=["damper"], response_model=ClicksReply)
@changes_nothing
def clicks(question: DamperQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> Any:
    """Tell what one click of each adjuster changes, as `forkwright damper --clicks` does.

    Shims that stretch take their time: then it is a job.
    """
    from forkwright.app.damper_answer import click_rows
    from forkwright.bench.damping_variations import click_effects

    unit = drafts.unit(question.fork)
    oil, place = oil_and_place(question)

    def effects(tell: Tell) -> dict[str, Any]:
        found = click_effects(
            unit, None, oil, **place, stiffening=question.stiffening,
            tell=lambda share: tell(share, "one click after the other"),
        )  # fmt: skip
        answer: dict[str, Any] = plain({"effects": click_rows(found)})
        return answer

    if question.stiffening:
        return {"job": jobs.submit(visitor, f"One click of {unit.name}", effects).key}
    return Answer(effects(lambda _share, _words: None))


@router.post("/api/damper/openings", tags=["damper"], response_model=OpeningsAnswer)
@changes_nothing
def openings(question: DamperQuestion, drafts: Drafts) -> Answer:
    """Open every stack against pressure as it is built in, with its stress, as `forkwright shims` does."""
    from forkwright.app.damper_answer import stack_openings

    if question.stiffening:
        raise InputError("openings are told of shims that bend alone", key="stiffening", value="true")
    oil, place = oil_and_place(question)
    return Answer({"stacks": stack_openings(drafts.unit(question.fork), oil, place)})


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
    oil, place = oil_and_place(question)
    found = cavitation_map(unit, question.adjuster, None, oil, **place, stiffening=question.stiffening)
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
async def bands(request: Request, question: DamperBandQuestion, drafts: Drafts) -> Answer:
    """Carry the tolerances of the damper's measured parts through to a band of the force."""
    return await while_wanted(request, lambda tell: _bands(question, drafts, tell))


def _bands(question: DamperBandQuestion, drafts: DraftReader, tell: Callable[[float], None]) -> Answer:
    from forkwright.bench.damping import damping_curve
    from forkwright.bench.damping_bands import damping_bands

    if question.stiffening:
        raise InputError("bands are drawn of shims that bend alone", key="stiffening", value="true")
    unit = drafts.unit(question.fork)
    oil, place = oil_and_place(question)
    speed = damping_curve(unit, None, oil).speed[::5]
    force = damping_bands(unit, None, oil, speed, **place, draws=question.draws, progress=tell)["force"]
    return Answer(
        {
            "draws": question.draws,
            "speed_m_s": speed,
            "force_low_N": force.low,
            "force_high_N": force.high,
        }
    )


def _curves(
    unit: Unit,
    question: CurveQuestion | SpeedsQuestion,
    drafts: DraftReader,
    speeds: Sequence[float] | None = None,
) -> dict[str, Any]:
    """Return the `damping` at the bench's speeds or these (m/s), and that of a shock at the `wheel`."""
    from forkwright.app.rear.wheel import damping_at_wheel
    from forkwright.bench.damping import damping_curve
    from forkwright.bench.damping_answer import damping_answer

    oil, place = oil_and_place(question)
    curve = damping_curve(unit, None, oil, speeds, **place, stiffening=question.stiffening)
    damping = damping_answer(curve)
    del damping["by_path_N"]
    bike = drafts.bike(question.bike) if question.bike is not None else None
    return {"damping": damping, "wheel": damping_at_wheel(unit, bike, curve, question.wheel_share)}


def _at_speed(question: SpeedQuestion, unit: Unit, speed: float) -> dict[str, Any]:
    from forkwright.app.damper_answer import answer_at_speed

    oil, place = oil_and_place(question)
    units = chosen_units(question.units)
    return answer_at_speed(unit, question.fork, speed, oil, place, units, question.drawn, question.stiffening)
