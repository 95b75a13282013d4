"""The published shape of a run on the dynamometer: SI, pressures absolute."""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Literal

from forkwright.app.answer_shapes import Shape


class CycleAnswer(Shape):
    """One cycle, counted from 1; lists of equal length."""

    cycle: int
    time_s: list[float]
    travel_m: list[float]
    speed_m_s: list[float]
    force_N: list[float]
    compression_chamber_Pa: list[float]
    shaft_chamber_Pa: list[float]
    reservoir_Pa: list[float]
    cavitation_margin_Pa: list[float]
    oil_temperature_K: list[float]


class DynoAnswer(Shape):
    """A run: the first, second and last cycle as loops, every cycle's energy, heat and peaks, and the whole.

    Loop area, width and fade are those of `forkwright dyno --json`; `margin_lowest_Pa` is the lowest margin
    of the whole run.
    """

    name: str
    test: Literal["sine", "step"]
    loops: list[CycleAnswer]
    cycle_s: float
    cycle_energy_J: list[float]
    cycle_temperature_K: list[float]
    cycle_peak_compression_N: list[float]
    cycle_peak_rebound_N: list[float]
    hysteresis_N_m_s: float
    widest_N: float
    fade: float
    void_m3: float
    margin_lowest_Pa: float
    fingerprint: str
    warnings: list[str]
