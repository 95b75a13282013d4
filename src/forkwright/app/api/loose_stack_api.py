"""A shim stack by itself, from its own file: opening, stress and drawing, as `forkwright shims` tells."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes_nothing
from forkwright.app.damper_shapes import LooseStackReply
from forkwright.app.jobs import Tell
from forkwright.app.question import Text, chosen_units
from forkwright.app.state import Jobs
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer, plain
from forkwright.units import UnitChoice
from forkwright.units.typed_in import read_pressures, read_quantity

if TYPE_CHECKING:
    from forkwright.hardware.stack import StackFile
    from forkwright.physics.values import Array

router = APIRouter(tags=["damper"])

FEW_DISCS = 20
"""A stack of so many that bend alone is answered at once."""


class LooseStackQuestion(BaseModel):
    """A stack file's text; `pressures` separated by commas, `pressure` the one it is drawn under."""

    model_config = ConfigDict(extra="forbid")

    name: Annotated[str, Field(max_length=200)]
    toml: Annotated[str, Field(max_length=60_000)]
    pressures: Annotated[str, Field(max_length=1000)] = ""
    pressure: Text = "10 bar"
    stiffening: bool = False
    units: Annotated[dict[str, str], Field(max_length=20)] = {}


@router.post("/api/damper/loose-stack", response_model=LooseStackReply)
@changes_nothing
def loose(question: LooseStackQuestion, jobs: Jobs, visitor: Visitor) -> Any:
    """Open a stack from its own file against pressure, as `forkwright shims` and `forkwright sheet stack`."""
    import numpy as np

    from forkwright.app.apart import apart
    from forkwright.bench.loose_stack import USUAL_PRESSURES
    from forkwright.hardware.stack import read_stack

    file = read_stack(question.toml, question.name)
    units = chosen_units(question.units)
    drawn_at = read_quantity(question.pressure, "pressure", "pressure")
    typed = question.pressures.strip()
    pressures = np.array(read_pressures(typed, "pressures")) if typed else USUAL_PRESSURES
    given = (file, pressures, drawn_at, question.stiffening, units)
    if not question.stiffening and sum(disc.count for disc in file.shims) <= FEW_DISCS:
        return Answer(solved(*given, lambda _share, _words: None))

    def work(tell: Tell) -> dict[str, Any]:
        return apart(solved, *given, tell=tell, words="Solving the stack")

    return {"job": jobs.submit(visitor, f"Shim stack {file.name}", work).key}


def solved(
    file: StackFile, pressures: Array, drawn_at: float, stiffening: bool, units: UnitChoice, tell: Tell
) -> dict[str, Any]:
    """Return the answer about one stack, as in `damper_shapes.LooseStackAnswer`."""
    from forkwright.bench.loose_stack import loose_stack, loose_stack_answer
    from forkwright.sheets.shim_drawing import drawing_of_stack

    tell(0.05, "Solving the stack")
    found = loose_stack_answer(loose_stack(file, pressures, stiffening=stiffening))
    tell(0.9, "Drawing it")
    svg = drawing_of_stack(file, drawn_at, units)
    answer: dict[str, Any] = plain({"name": file.name, **found, "svg": svg})
    return answer
