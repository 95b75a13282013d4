"""Calls about a unit beside its spring: what connecting a pump takes, and what a fork's chassis carries."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict

from forkwright.app.acts import changes_nothing
from forkwright.app.drafts import Draft
from forkwright.app.hose_chassis_shapes import ChassisAnswer, HoseAnswer
from forkwright.app.question import Day, Text, conditions_of
from forkwright.app.state import Drafts
from forkwright.app.wire import Answer
from forkwright.units.typed_in import read_quantity

router = APIRouter(tags=["fork"])


class HoseQuestion(BaseModel):
    """One unit on its day, and the volume of hose and pump head."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    day: Day = Day()
    hose_volume: Text = "10 ml"


class ChassisQuestion(BaseModel):
    """One fork, and a force at its axle across the leg axis, fore-aft."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    axle_force: Text = "300 N"


@router.post("/api/fork/hose", response_model=HoseAnswer)
@changes_nothing
def hose(question: HoseQuestion, drafts: Drafts) -> Answer:
    """Say what a pump reads after it is connected, as `forkwright hose` does."""
    from forkwright.bench.answers import hose_answer
    from forkwright.bench.hose import hose_readings

    volume = read_quantity(question.hose_volume, "volume", "hose volume")
    found = hose_readings(drafts.unit(question.fork), volume, None, conditions_of(question.day))
    return Answer(hose_answer(volume, found))


@router.post("/api/fork/chassis", response_model=ChassisAnswer)
@changes_nothing
def chassis(question: ChassisQuestion, drafts: Drafts) -> Answer:
    """Say what the bushings of a fork carry and how stiff it is, as `forkwright chassis` does."""
    from forkwright.bench.answers import chassis_answer
    from forkwright.bench.chassis import chassis_curve, check_fork

    unit = drafts.unit(question.fork)
    check_fork(unit)
    curve = chassis_curve(unit, read_quantity(question.axle_force, "force", "axle force"))
    return Answer(chassis_answer(curve))
