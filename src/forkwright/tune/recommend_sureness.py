"""Sentences and published form of a recommendation's bands: what the tolerances leave open."""

from __future__ import annotations

from typing import Any

import numpy as np

from forkwright.tune.adjuster_band import adjuster_answer, moved_words
from forkwright.tune.aim_words import aims_band_words
from forkwright.tune.aims_answer import aims_answer
from forkwright.tune.drawn_rides import RideBands
from forkwright.tune.recommendation import Recommendation
from forkwright.units import UnitChoice

SURE = 0.9
"""Share of the draws from which on something is taken as certain (own choice)."""


def ride_sureness(found: Recommendation, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what the tolerances of fork or shock, rider and bike leave open, in sentences."""
    bands = found.bands
    if bands is None:
        return ()
    said = []
    if np.isfinite(bands.high).all():
        told = aims_band_words(bands.low, bands.high, float(found.unit.travel.si), units)
        said.append(f"With parts, rider and bike off by their tolerances, nine times in ten {told}.")
    if bands.holds < SURE:
        said.append(
            f"Only in {bands.holds:.0%} of the {bands.draws} draws does it keep the limit on the biggest "
            "event: ask for more margin, or measure more closely."
        )
    if bands.better is not None:
        sure = "beyond what the tolerances can turn round" if bands.better >= SURE else "not for certain"
        said.append(f"It is better than the setting in the file in {bands.better:.0%} of the draws, {sure}.")
    return (*said, *moved_words(bands.adjusters, units))


def ride_bands_answer(bands: RideBands | None, units: UnitChoice | None = None) -> dict[str, Any] | None:
    """Return the bands as they stand in the JSON answer; None without any."""
    if bands is None:
        return None
    return {
        "draws": bands.draws,
        "low": aims_answer(bands.low),
        "high": aims_answer(bands.high),
        "holds_share": bands.holds,
        "better_than_now_share": bands.better,
        "adjusters": [adjuster_answer(one, units) for one in bands.adjusters],
    }
