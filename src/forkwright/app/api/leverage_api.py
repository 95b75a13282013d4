"""Calls about a bike's leverage curve: the curve through its points, and points read from a table."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.drafts import Draft
from forkwright.app.rear.leverage import leverage_answer, points_as_written
from forkwright.app.rear.shapes import LeverageAnswer, PointsAnswer
from forkwright.app.state import Drafts
from forkwright.app.wire import Answer

router = APIRouter()
LARGEST_TABLE = 500_000
"""Letters in a table that a page may send."""


class BikeQuestion(BaseModel):
    """A bike with its leverage curve."""

    model_config = ConfigDict(extra="forbid")

    bike: Draft


class TableQuestion(BaseModel):
    """A table of wheel travel and stroke."""

    model_config = ConfigDict(extra="forbid")

    text: Annotated[str, Field(max_length=LARGEST_TABLE)]
    name: Annotated[str, Field(max_length=200)] = "table"


@router.post("/api/leverage", tags=["rear"], response_model=LeverageAnswer)
@changes_nothing
def curve(question: BikeQuestion, drafts: Drafts) -> Answer:
    """Return the points of a bike's leverage and the curve through them."""
    return Answer(leverage_answer(drafts.bike(question.bike)))


@router.post("/api/leverage/table", tags=["rear"], response_model=PointsAnswer)
@changes_nothing
def table(question: TableQuestion) -> Answer:
    """Read a leverage curve from a table of two columns, as `leverage_from_csv` does."""
    from forkwright.hardware.leverage_table import leverage_from_csv

    return Answer({"points": points_as_written(leverage_from_csv(question.text, question.name))})
