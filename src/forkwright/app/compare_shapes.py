"""The published shapes of a comparison: SI, pressures absolute except a setting's, which are gauge."""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Any, Literal

from forkwright.app.answer_shapes import (
    AdjusterAnswer,
    SagAnswer,
    Shape,
    SpringAnswer,
    WheelCurveAnswer,
    WheelSagAnswer,
)


class PlainSpring(Shape):
    """The spring curves that follow a slider."""

    travel_m: list[float]
    force_N: list[float]
    rate_N_m: list[float]


class PlainDamping(Shape):
    """The damping curve that follows a slider."""

    speed_m_s: list[float]
    force_N: list[float]


class SideAnswer(Shape):
    """One unit on the benches, without bands."""

    name: str
    kind: Literal["fork", "shock"]
    spring: PlainSpring
    sag: SagAnswer | None
    wheel_sag: WheelSagAnswer | None
    wheel: WheelCurveAnswer | None
    damping: PlainDamping | None
    adjusters: list[AdjusterAnswer]


class SettingAnswer(Shape):
    """A setting; only what there is."""

    pressure_gauge_Pa: float | None = None
    negative_pressure_gauge_Pa: float | None = None
    floating_gauge_Pa: float | None = None
    spacers: int | None = None
    preload_m: float | None = None
    low_speed: int | None = None
    high_speed: int | None = None
    rebound: int | None = None


class BandedSpring(SpringAnswer):
    """A spring curve with its bands: nine of ten units drawn from the tolerances lie within."""

    force_low_N: list[float]
    force_high_N: list[float]
    rate_low_N_m: list[float]
    rate_high_N_m: list[float]
    positive_low_Pa: list[float]
    positive_high_Pa: list[float]
    negative_low_Pa: list[float]
    negative_high_Pa: list[float]


class BandedSag(SagAnswer):
    """Sag with the band that the tolerances leave open."""

    tolerance_low_m: float
    tolerance_high_m: float


class StepAnswer(Shape):
    """What one step at the pump or one spacer changes."""

    what: str
    step: float
    sag_m: float
    half_force_N: float
    end_force_N: float
    end_pressure_Pa: float


class ComparedSide(Shape):
    """One unit of a comparison."""

    name: str
    setting: SettingAnswer
    spring: BandedSpring
    sag: BandedSag
    end_force_N: float
    end_pressure_Pa: float
    end_pressure_fast_Pa: float
    energy_J: float
    energy_fast_J: float
    midstroke_support: float
    steps: list[StepAnswer]


class DifferenceAnswer(Shape):
    """Force of B less force of A, with its band, and where the two differ beyond it."""

    travel_m: list[float]
    force_N: list[float]
    force_low_N: list[float]
    force_high_N: list[float]
    beyond_tolerance: list[bool]
    stretches_m: list[tuple[float, float]]


class NearestAnswer(Shape):
    """B at its nearest setting, and what remains."""

    setting: SettingAnswer
    travel_m: list[float]
    remainder_N: list[float]
    rms_N: float
    worst_N: float
    worst_at_m: float
    settings_tried: int
    sag: SagAnswer


class ClickAnswer(Shape):
    """What one click changes."""

    adjuster: str
    step: int
    speed_m_s: list[float]
    force_change_N: list[float]


class ClickMap(Shape):
    """Cavitation margin over speeds (columns) and clicks (rows)."""

    adjuster: str
    speed_m_s: list[float]
    clicks: list[int]
    margin_Pa: list[list[float]]


class DamperSide(Shape):
    """One damper of a comparison."""

    clicks: dict[str, int]
    speed_m_s: list[float]
    force_N: list[float]
    cavitation_margin_Pa: list[float]
    margin_lost_compression_m_s: float | None
    margin_lost_rebound_m_s: float | None
    click_effects: list[ClickAnswer]
    cavitation_maps: list[ClickMap]


class DamperDifference(Shape):
    """The bands of both dampers, and where they stand apart."""

    speed_m_s: list[float]
    a_force_low_N: list[float]
    a_force_high_N: list[float]
    b_force_low_N: list[float]
    b_force_high_N: list[float]
    beyond_tolerance: list[bool]


class NearestClicks(Shape):
    """B's nearest clicks to A."""

    clicks: dict[str, int]
    speed_m_s: list[float]
    wanted_N: list[float]
    reached_N: list[float]
    rms_N: float
    rms_before_N: float
    combinations_tried: int
    at_end: list[str]


class ComparedDampers(Shape):
    """The damper half of a comparison."""

    oil_temperature_K: float
    a: DamperSide
    b: DamperSide
    difference: DamperDifference
    nearest: NearestClicks


class SettingWords(Shape):
    """Both settings in words."""

    a: str
    b: str


class CompareAnswer(Shape):
    """Two units for one rider, with sentences and what to change on B."""

    a: ComparedSide
    b: ComparedSide
    load_N: float
    side_load_N: float
    difference: DifferenceAnswer
    nearest: NearestAnswer | None
    damper: ComparedDampers | None
    equal_sag: SettingAnswer | None
    warnings: list[str]
    draws: int
    damper_draws: int
    sentences: list[str]
    settings: SettingWords
    nearest_edits: dict[str, Any] | None
    equal_sag_edits: dict[str, Any] | None
