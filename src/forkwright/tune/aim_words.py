"""The four aims in words: what a change of each means on the trail."""

from __future__ import annotations

import numpy as np

from forkwright.physics.values import Array
from forkwright.tune.naming import listed
from forkwright.units import UnitChoice, show

LEAST_SHARE = 0.001
"""Share of grip or comfort below which a change is not spoken of (own choice)."""

LEAST_TRAVEL = 0.05e-3
"""m of travel below which a change is not spoken of (own choice)."""


def aims_words(aims: Array, full_travel: float, units: UnitChoice | None = None) -> str:
    """Return the four aims of a setting in words; shape (4,), as `aims.AIMS`."""
    return (
        f"the tyre's load varies by {aims[0]:.0%} of its mean, the hands feel {aims[1]:.2f} m/s² (weighted), "
        f"it rides {show(aims[2] * full_travel, 'length', units)} deep on average and the biggest event "
        f"uses {aims[3]:.0%} of the travel"
    )


def aims_band_words(low: Array, high: Array, full_travel: float, units: UnitChoice | None = None) -> str:
    """Return bands of the four aims in words; shape (4,) each, as `aims.AIMS`."""
    deep = " to ".join(show(float(end[2]) * full_travel, "length", units) for end in (low, high))
    return (
        f"the tyre's load varies by {low[0]:.0%} to {high[0]:.0%}, the hands feel {low[1]:.2f} to "
        f"{high[1]:.2f} m/s², it rides {deep} deep and the biggest event uses {low[3]:.0%} to {high[3]:.0%}"
    )


def change_words(
    change: Array, before: Array, full_travel: float, units: UnitChoice | None = None
) -> tuple[str, str]:
    """Return what gets worse and what gets better, each as a list in words, empty where nothing does.

    Parameters
    ----------
    change, before : array
        Of the aims, shape (4,); the change is after minus before.
    full_travel : float
        m.
    """
    worse: list[str] = []
    better: list[str] = []
    for aim in range(4):
        words = _change_of_one(aim, float(change[aim]), float(before[aim]), full_travel, units)
        if words:
            (worse if change[aim] > 0.0 else better).append(words)
    return listed(worse), listed(better)


def what_a_step_does(
    change: Array, before: Array, full_travel: float, units: UnitChoice | None = None
) -> str:
    """Return "costs … and brings …" for a change of the aims."""
    if not np.isfinite(change).all():
        return "cannot be ridden"
    worse, better = change_words(change, before, full_travel, units)
    if worse and better:
        return f"costs {worse}, and brings {better}"
    if worse:
        return f"costs {worse} and brings nothing"
    if better:
        return f"brings {better} and costs nothing"
    return "changes nothing worth naming"


def _change_of_one(
    aim: int, change: float, before: float, full_travel: float, units: UnitChoice | None
) -> str:
    if aim < 2:
        share = abs(change) / before if before > 0.0 else 0.0
        if share < LEAST_SHARE:
            return ""
        kinds = (("less steady", "steadier"), ("rougher", "calmer"))[aim]
        what = ("tyre load", "hands")[aim]
        return f"{what} {share:.1%} {kinds[0] if change > 0.0 else kinds[1]}"
    depth = abs(change) * full_travel
    if depth < LEAST_TRAVEL:
        return ""
    kinds = (("deeper", "higher"), ("deeper", "less deep"))[aim - 2]
    what = ("riding", "the biggest event")[aim - 2]
    return f"{what} {show(depth, 'length', units)} {kinds[0] if change > 0.0 else kinds[1]}"
