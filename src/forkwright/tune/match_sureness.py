"""Sentences and published form of a match's bands: how far the tolerances of the parts move it."""

from __future__ import annotations

from typing import Any

from forkwright.tune.adjuster_band import adjuster_answer, moved_words
from forkwright.tune.match_bands import MatchBands, RemainderBand
from forkwright.units import UnitChoice, show


def sureness_words(bands: MatchBands, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what the tolerances leave open, in sentences."""
    said = list(moved_words(bands.adjusters, units))
    for what, one in (("spring force", bands.spring), ("damping force", bands.damping)):
        if one is not None:
            low, high = (show(value, "force", units) for value in (one.rms_low, one.rms_high))
            told = f"over {one.beyond:.0%} of the use the difference is larger than they explain"
            if one.beyond < 0.005:
                told = "they can explain all of it"
            said.append(f"With the tolerances, {low} to {high} of {what} remain (rms); {told}.")
    return tuple(said)


def bands_answer(bands: MatchBands | None, units: UnitChoice | None = None) -> dict[str, Any] | None:
    """Return the bands as they stand in the JSON answer; None without any."""
    if bands is None:
        return None
    return {
        "draws": bands.draws,
        "damper_draws": bands.damper_draws,
        "adjusters": [adjuster_answer(one, units) for one in bands.adjusters],
        "spring": _remainder(bands.spring, "travel_m"),
        "damping": _remainder(bands.damping, "speed_m_s"),
    }


def _remainder(one: RemainderBand | None, over: str) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        over: one.over,
        "remainder_low_N": one.band.low,
        "remainder_middle_N": one.band.middle,
        "remainder_high_N": one.band.high,
        "rms_low_N": one.rms_low,
        "rms_high_N": one.rms_high,
        "beyond_tolerance_share": one.beyond,
    }
