"""Where a unit rests under a load that is stated instead of a rider's, and its spring under a side load."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict

from forkwright.app.acts import changes_nothing
from forkwright.app.answer_shapes import StatedLoadAnswer
from forkwright.app.drafts import Draft
from forkwright.app.question import Day, Text, conditions_of
from forkwright.app.state import Drafts
from forkwright.app.tuning.ride_fields import read_if_given
from forkwright.app.wire import Answer
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.rear_sag import WheelSag
    from forkwright.bench.sag import Sag
    from forkwright.hardware import Bike, Unit

router = APIRouter(tags=["fork"])


class StatedLoadQuestion(BaseModel):
    """One unit on its day under one load: `load` along its axis, or `wheel_load` at a shock's rear wheel.

    `side_load` stands across the leg axis and goes with a load along it; `bike` has a shock's leverage.
    """

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    bike: Draft | None = None
    day: Day = Day()
    load: Text = ""
    wheel_load: Text = ""
    side_load: Text = ""


@router.post("/api/fork/sag", response_model=StatedLoadAnswer)
@changes_nothing
def stated_load(question: StatedLoadQuestion, drafts: Drafts) -> Answer:
    """Say where a unit rests under a stated load, as `forkwright sag` does, on the curve of its spring."""
    from forkwright.bench.answers import sag_answer, spring_answer
    from forkwright.bench.rear_answers import wheel_sag_answer
    from forkwright.bench.spring import spring_curve

    unit, day = drafts.unit(question.fork), conditions_of(question.day)
    bike = drafts.bike(question.bike) if question.bike is not None else None
    load = read_if_given(question.load, "force", "load")
    at_wheel = read_if_given(question.wheel_load, "force", "wheel load")
    side = read_if_given(question.side_load, "force", "side load") or 0.0
    rests, wheel = _rests(unit, bike, day, load, at_wheel, side)
    return Answer(
        {
            "sag": sag_answer(rests),
            "wheel_sag": wheel_sag_answer(wheel) if wheel is not None else None,
            "spring": spring_answer(spring_curve(unit, None, day, side_load=side)),
        }
    )


def _rests(
    unit: Unit, bike: Bike | None, day: Conditions, load: float | None, at_wheel: float | None, side: float
) -> tuple[Sag, WheelSag | None]:
    """Return where the unit rests, and the rear wheel of a shock whose bike has its leverage."""
    from forkwright.bench.rear_linkage import linkage_of
    from forkwright.bench.rear_sag import at_the_wheel, wheel_sag
    from forkwright.bench.sag import sag

    if at_wheel is not None and load is None:
        if bike is None:
            raise InputError("a load at the wheel needs the bike with its leverage", key="bike")
        wheel = wheel_sag(unit, bike, at_wheel, None, day)
        return wheel.shock, wheel
    if load is None or at_wheel is not None:
        raise InputError("give one load", allowed="one of load, wheel load")
    found = sag(unit, load, None, day, side_load=side)
    if unit.kind == "shock" and bike is not None and bike.leverage is not None:
        return found, at_the_wheel(found, unit, linkage_of(bike))
    return found, None
