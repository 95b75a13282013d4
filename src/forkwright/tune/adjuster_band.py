"""Where the best setting of one adjuster would stand, were the parts otherwise by their tolerances."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from forkwright.bench.bands import HIGH, LOW
from forkwright.physics.values import Array
from forkwright.tune.naming import ADJUSTERS, CLICKS, PRESSURES, listed, value_words
from forkwright.units import UnitChoice, show

FIRM = 0.9
"""Share of the draws from which on a setting is said to stay as it is (own choice)."""


@dataclass(frozen=True)
class AdjusterBand:
    """The best value of an adjuster: 5 %, 50 % and 95 % of the draws, SI (gauge Pa, m, N/m, counts).

    `stays` is the share of the draws in which it is best where it was put (within a step for what is not
    counted); `open_low`, `open_high` tell that the band ends where nothing further was looked at.
    """

    adjuster: str
    low: float
    middle: float
    high: float
    stays: float
    open_low: bool = False
    open_high: bool = False


def band_from(
    name: str, values: Array, now: float, within: float, looked: tuple[float, float] | None = None
) -> AdjusterBand:
    """Return the band of an adjuster's best values, one per draw.

    Parameters
    ----------
    name : str
    values : array, shape (draws,)
        SI.
    now : float
        Where it stands, SI.
    within : float
        How far off still counts as staying, SI.
    looked : (float, float), optional
        Lowest and highest value that was looked at, SI, where there are others beyond.
    """
    low, middle, high = (float(value) for value in np.quantile(values, (LOW, 0.5, HIGH), method="nearest"))
    stays = float(np.mean(np.abs(values - now) <= within * (1 + 1e-6)))
    ends = (-np.inf, np.inf) if looked is None else looked
    return AdjusterBand(name, low, middle, high, stays, low <= ends[0], high >= ends[1])


def stays(band: AdjusterBand) -> bool:
    """Tell whether the tolerances leave an adjuster where it is."""
    return band.stays >= FIRM or band.low == band.high


def name_words(band: AdjusterBand) -> str:
    """Return what the adjuster is called."""
    return "the coil" if band.adjuster == "rate" else ADJUSTERS[band.adjuster]


def range_words(band: AdjusterBand, units: UnitChoice | None = None) -> str:
    """Return the band in words, such as "rebound 3 to 5 clicks"."""
    if band.adjuster == "rate":
        low, high = (show(value, "stiffness", units) for value in (band.low, band.high))
        return f"a coil of {low}" + (f" to {high}" if high != low else "")
    low, high = (value_words(band.adjuster, value, units) for value in (band.low, band.high))
    span = high
    if low != high:
        span = f"{f'{band.low:.0f}' if band.adjuster in (*CLICKS, 'spacers') else low} to {high}"
    told = span if band.adjuster == "spacers" else f"{ADJUSTERS[band.adjuster]} {span}"
    return told + (" or beyond" if band.open_low or band.open_high else "")


def moved_words(bands: tuple[AdjusterBand, ...], units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what the tolerances leave open of a setting, in one sentence; none where nothing was drawn."""
    firm = [name_words(band) for band in bands if stays(band)]
    moved = [range_words(band, units) for band in bands if not stays(band)]
    if moved:
        rest = f"; {listed(firm)} would stay" if firm else ""
        return (
            f"Parts that are off by their tolerances would, nine times in ten, want {listed(moved)}{rest}.",
        )
    return (f"The tolerances of the parts move nothing: {listed(firm)} would stay.",) if firm else ()


def adjuster_answer(band: AdjusterBand, units: UnitChoice | None = None) -> dict[str, Any]:
    """Return a band as it stands in the JSON answers."""
    unit = {"rate": "_N_m", "preload": "_m"}.get(
        band.adjuster, "_gauge_Pa" if band.adjuster in PRESSURES else ""
    )
    return {
        "adjuster": band.adjuster,
        f"low{unit}": band.low,
        f"middle{unit}": band.middle,
        f"high{unit}": band.high,
        "stays_share": band.stays,
        "looked_further": not (band.open_low or band.open_high),
        "words": range_words(band, units),
    }
