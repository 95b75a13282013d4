"""The published shape of a stroke that is shown: drawings, gauge pressures, flows and sentences."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from forkwright.app.answer_shapes import DrawingAnswer, Shape


class PhaseAnswer(Shape):
    """The damper moving in, moving out or at rest: gauge pressures (Pa) and flows (m3/s)."""

    pressures: dict[str, float]
    flows: dict[str, float]


class PhasesAnswer(Shape):
    """All three."""

    out: PhaseAnswer
    rest: PhaseAnswer
    inwards: PhaseAnswer = Field(alias="in")


class StoryStep(Shape):
    """One step of the story: at which travel (m), moving which way, and which parts it is about."""

    title: str
    sentence: str
    travel: float
    phase: Literal["in", "out"]
    parts: list[str]


class ShownSide(Shape):
    """One fork or shock of the show."""

    name: str
    travel_m: float
    drawings: list[DrawingAnswer]
    damper: PhasesAnswer | None
    steps: list[StoryStep]


class ShowAnswer(Shape):
    """A stroke of one or two units."""

    sides: list[ShownSide]
    speed_m_s: float
