"""The published shapes of the bench's answers, for the API's own description; the bench makes the answers."""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict


class Shape(BaseModel):
    """What an answer holds: these keys, and no other."""

    model_config = ConfigDict(extra="forbid")


class SpringAnswer(Shape):
    """A spring curve; lists of equal length, SI, pressures absolute."""

    travel_m: list[float]
    force_N: list[float]
    rate_N_m: list[float]
    positive_Pa: list[float]
    negative_Pa: list[float]
    secondary_Pa: list[float]
    lower_leg_Pa: list[float]
    lower_leg_damper_Pa: list[float]
    floating_m: list[float]
    friction_N: list[float]
    exponent: float
    fingerprint: str
    warnings: list[str]


class SagAnswer(Shape):
    """Where the unit rests under an axial load, as a band; `rest_m` is the travel lost unloaded."""

    load_N: float
    sag_m: float
    sag_low_m: float
    sag_high_m: float
    rest_m: float
    friction_N: float
    fingerprint: str
    warnings: list[str]


class AdjusterAnswer(Shape):
    """Something to pump, turn or swap: its key in the file and its range, SI (pressures gauge) or whole."""

    path: str
    label: str
    kind: Literal["pressure", "length", "count", "clicks"]
    low: float
    high: float
    value: float


class PressureUnit(Shape):
    """The unit that a drawing's own readings are in."""

    symbol: str
    pascal: float
    digits: int


class MotionAnswer(Shape):
    """Positions (mm, upwards) and gauge pressures (Pa) of a drawing, at samples of the travel."""

    travel_mm: list[float]
    lowers: list[float]
    floating: list[float]
    reservoir: list[float]
    pressures: dict[str, list[float]]
    full_scale: float
    ramp: list[tuple[float, tuple[int, int, int]]]
    unit: PressureUnit


class MovedDrawing(Shape):
    """A drawing by its key, `svg` null where the asker has it, and what moves it."""

    key: str
    svg: str | None
    motion: MotionAnswer


class DrawingAnswer(MovedDrawing):
    """The cut-away of one leg, of the whole fork, or of a shock."""

    view: Literal["spring", "damper", "chassis"]
    notes: list[str]


class WheelCurveAnswer(Shape):
    """A shock's spring as the rear wheel feels it; null beyond the linkage's end."""

    wheel_travel_m: list[float | None]
    wheel_force_N: list[float | None]
    wheel_rate_N_m: list[float | None]


class WheelSpringAnswer(WheelCurveAnswer):
    """The same with the ratio, friction and gas push."""

    wheel_friction_N: list[float | None]
    leverage_ratio: list[float | None]
    gas_push_N: list[float | None]
    leverage_method: str
    warnings: list[str]


class WheelSagAnswer(Shape):
    """A shock's sag at the rear wheel."""

    wheel_sag_m: float
    wheel_sag_low_m: float
    wheel_sag_high_m: float
    wheel_rest_m: float
    wheel_travel_full_m: float
    wheel_load_N: float
    leverage_ratio: float
    warnings: list[str]


class StatedLoadAnswer(Shape):
    """Where a unit rests under a stated load, and its spring with the friction that a side load brings."""

    sag: SagAnswer
    wheel_sag: WheelSagAnswer | None
    spring: SpringAnswer


class CoilAnswer(Shape):
    """What a coil and its wire tell, as far as it could be worked out."""

    rate_N_m: float | None = None
    preload_m: float | None = None
    rate_from_wire_N_m: float | None = None
    index: float | None = None
    stress_Pa: float | None = None
    allowed_stress_Pa: float | None = None
    solid_travel_m: float | None = None
    left_before_solid_m: float | None = None
    least_gaps_m: float | None = None


class ForkAnswer(Shape):
    """What the spring bench says about a fork or a shock."""

    name: str
    kind: Literal["fork", "shock"]
    spring: SpringAnswer
    sag: SagAnswer | None
    wheel: WheelSpringAnswer | None
    wheel_sag: WheelSagAnswer | None
    coil: CoilAnswer | None
    adjusters: list[AdjusterAnswer]
    drawing: DrawingAnswer
    warnings: list[str]


class ForkBandAnswer(Shape):
    """The force between the 5 % and 95 % quantiles of forks drawn from the tolerances."""

    draws: int
    travel_m: list[float]
    force_low_N: list[float]
    force_high_N: list[float]
