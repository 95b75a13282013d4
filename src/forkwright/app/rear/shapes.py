"""The published shapes of the answers about a leverage and about both ends: SI, unit as the key's ending."""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Any, Literal

from forkwright.app.answer_shapes import AdjusterAnswer, Shape
from forkwright.app.compare_shapes import SettingAnswer


class PointAnswer(Shape):
    """One point of a leverage curve, as a bike's file writes it."""

    wheel: str
    stroke: str


class PointsAnswer(Shape):
    """The points of a leverage curve."""

    points: list[PointAnswer]


class LeverageCurve(Shape):
    """The curve through the points; lists of equal length, but for the measured points."""

    wheel_travel_m: list[float]
    stroke_m: list[float]
    leverage_ratio: list[float]
    method: str
    measured_wheel_m: list[float]
    measured_stroke_m: list[float]


class LeverageAnswer(PointsAnswer):
    """A bike's leverage; no curve where it has none."""

    smoothing: str | None
    curve: LeverageCurve | None


class EndAnswer(Shape):
    """One end at its sag."""

    name: str
    setting: SettingAnswer
    sag_m: float
    sag_low_m: float
    sag_high_m: float
    wheel_sag_m: float
    wheel_travel_full_m: float
    sag_share: float
    carried_mass_kg: float
    wheel_rate_N_m: float
    frequency_Hz: float
    compression_N_s_m: float
    rebound_N_s_m: float
    compression_damping_ratio: float
    rebound_damping_ratio: float


class ModeAnswer(Shape):
    """One way in which the body swings; the centre is null where it lies at infinity."""

    frequency_Hz: float
    damping_ratio: float
    centre_ahead_m: float | None


class PairAnswer(Shape):
    """Both ends and the body's modes, the slower first."""

    front: EndAnswer
    rear: EndAnswer
    modes: list[ModeAnswer]
    sag_lead: float
    frequency_ratio: float


class AttitudeAnswer(Shape):
    """How a bike stands; travels are null where a wheel lifts."""

    gradient: float
    speed_change_m_s2: float
    rider_shift_m: float
    front_load_N: float
    rear_load_N: float
    front_wheel_travel_m: float | None
    rear_wheel_travel_m: float | None
    fork_travel_m: float | None
    shock_stroke_m: float | None
    pitch_rad: float | None
    lifts: Literal["front", "rear"] | None


class EndCurves(Shape):
    """One end at its wheel: the spring over its travel, the damping over its speed at the sag."""

    wheel_travel_m: list[float]
    wheel_force_N: list[float]
    wheel_speed_m_s: list[float]
    wheel_damping_N: list[float]


class BothAdjusters(Shape):
    """What can be turned at both ends."""

    fork: list[AdjusterAnswer]
    shock: list[AdjusterAnswer]


class BothCurves(Shape):
    """Both ends at their wheels."""

    front: EndCurves
    rear: EndCurves


class BalanceAnswer(PairAnswer):
    """Both ends as they are set, and how the bike stands."""

    dynamic_index: float
    level: AttitudeAnswer
    held: AttitudeAnswer | None
    adjusters: BothAdjusters
    curves: BothCurves
    drawing: str | None
    sentences: list[str]
    warnings: list[str]


class AdviceAnswer(Shape):
    """The changes at one end, and both ends after them; a change's keys end in its unit."""

    end: Literal["front", "rear"]
    aimed_sag_lead: float
    setting: SettingAnswer
    coil_rate_N_m: float | None
    changes: list[dict[str, Any]]
    equal_frequency_pressure_gauge_Pa: float | None
    after: PairAnswer


class ToldAdvice(Shape):
    """The advice, its sentences, and the edits of a draft that follow it."""

    advice: AdviceAnswer
    sentences: list[str]
    edits: dict[str, Any]
    warnings: list[str]
