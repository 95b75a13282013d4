"""The published shapes of the damper's answers: SI, pressures absolute but in drawings."""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Literal

from pydantic import RootModel

from forkwright.app.answer_shapes import AdjusterAnswer, MovedDrawing, Shape
from forkwright.app.api.shapes import JobTaken


class DampingAnswer(Shape):
    """A damper at steady speeds (m/s, positive in compression); lists of equal length."""

    speed_m_s: list[float]
    force_N: list[float]
    compression_chamber_Pa: list[float]
    shaft_chamber_Pa: list[float]
    reservoir_Pa: list[float]
    cavitation_margin_Pa: list[float]
    margin_lost_compression_m_s: float | None
    margin_lost_rebound_m_s: float | None
    clicks: dict[str, int]
    oil_temperature_K: float
    position_m: float
    fingerprint: str
    warnings: list[str]


class FlowAnswer(Shape):
    """One valve at one speed: flow by path and the pressure drop over all of it."""

    bleed_m3_s: float
    leak_m3_s: float
    main_m3_s: float
    drop_Pa: float


class FlowsAnswer(Shape):
    """Both valves."""

    base: FlowAnswer
    piston: FlowAnswer


class BentStackAnswer(Shape):
    """A shim stack bent by the pressure across it; `svg` null where the asker has the drawing of that key."""

    table: str
    title: str
    across_Pa: float
    key: str
    svg: str | None


class SpeedAnswer(Shape):
    """The damper at one shaft speed."""

    speed_m_s: float
    force_N: float
    by_path_N: dict[str, float]
    flows: FlowsAnswer
    stacks: list[BentStackAnswer]
    cutaway: MovedDrawing | None


class WheelDampingAnswer(Shape):
    """A shock's damping at the rear wheel, at one place of its travel."""

    wheel_speed_m_s: list[float]
    wheel_damping_N: list[float]
    wheel_travel_m: float
    wheel_travel_full_m: float
    leverage_ratio: float


class DamperAnswer(Shape):
    """The damper over all speeds, and at one of them where one was asked for."""

    name: str
    kind: Literal["fork", "shock"]
    damping: DampingAnswer
    at_speed: SpeedAnswer | None
    adjusters: list[AdjusterAnswer]
    wheel: WheelDampingAnswer | None


class SpeedsAnswer(Shape):
    """The damper at chosen speeds, in the order they were given."""

    damping: DampingAnswer
    wheel: WheelDampingAnswer | None


class ClickEffectAnswer(Shape):
    """What one click of one adjuster changes: the force after it less the force before."""

    adjuster: str
    clicks: int
    step: Literal[-1, 1]
    speed_m_s: list[float]
    force_change_N: list[float]


class ClicksAnswer(Shape):
    """One click more and one less of every adjuster, where there is one."""

    effects: list[ClickEffectAnswer]


class ClicksReply(RootModel[ClicksAnswer | JobTaken]):
    """The clicks, where they take no time worth waiting for; else the job, whose result they are."""


class OpeningAnswer(Shape):
    """One stack against the pressure across it; lists of equal length."""

    table: str
    title: str
    pressure_Pa: list[float]
    opening_m: list[float]
    stress_Pa: list[float]
    yield_stress_Pa: float
    seat_reaction_N: list[float]
    warnings: list[str]


class OpeningsAnswer(Shape):
    """Every stack of a damper, as it is built in at its clicks."""

    stacks: list[OpeningAnswer]


class LooseStackAnswer(Shape):
    """A stack from a file of its own: lists of equal length over the pressure, and its drawing under one."""

    name: str
    pressure_Pa: list[float]
    opening_m: list[float]
    stress_Pa: list[float]
    seat_reaction_N: list[float]
    stiffening_share: list[float] | None
    svg: str
    warnings: list[str]


class LooseStackReply(RootModel[LooseStackAnswer | JobTaken]):
    """The stack, where it takes no time worth waiting for; else the job, whose result it is."""


class ShimEntry(Shape):
    """Shims of one size as the file's table form writes them."""

    size: str
    count: int = 1
    dish: str | None = None
    origin: Literal["measured", "assumed", "fitted"] = "measured"
    note: str = ""


class WrittenStack(Shape):
    """A stack as the file writes it, from the valve face to the clamp."""

    path: str
    table: str
    title: str
    shims: list[str | ShimEntry]


class StacksAnswer(Shape):
    """Every stack of a damper."""

    stacks: list[WrittenStack]


class MapAnswer(Shape):
    """Cavitation margin over the speeds (columns) and the clicks of one adjuster (rows)."""

    adjuster: str
    speed_m_s: list[float]
    clicks: list[int]
    margin_Pa: list[list[float]]


class DamperBandAnswer(Shape):
    """The force between the 5 % and 95 % quantiles of dampers drawn from the tolerances."""

    draws: int
    speed_m_s: list[float]
    force_low_N: list[float]
    force_high_N: list[float]
