"""The published shapes of what a pump takes and what a chassis carries: the command line's keys, SI."""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Literal

from forkwright.app.answer_shapes import Shape


class ChamberAtPump(Shape):
    """One chamber before and after a pump is connected; pressures are gauge."""

    chamber: Literal["positive", "negative", "secondary"]
    volume_m3: float
    before_gauge_Pa: float
    after_gauge_Pa: float
    to_keep_gauge_Pa: float


class HoseAnswer(Shape):
    """Every chamber with a valve."""

    hose_volume_m3: float
    chambers: list[ChamberAtPump]


class ChassisAnswer(Shape):
    """Stiffness, bushing loads and their friction over the travel; lists of equal length."""

    travel_m: list[float]
    crown_to_upper_m: list[float]
    axle_stiffness_N_m: list[float]
    lower_bushings_N: list[float]
    upper_bushings_N: list[float]
    friction_N: list[float]
    warnings: list[str]
