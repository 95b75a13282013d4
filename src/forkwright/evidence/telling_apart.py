"""What a trace cannot tell, in words: which values it left alone, which it mixes up, what to measure."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.fitting import Fit, correlation_of
from forkwright.physics.values import Array
from forkwright.units import Measure, UnitChoice, show_measure

ALIKE = 0.95  # correlation beyond which two values cannot be told apart
UNTOUCHED = 0.19  # share of the variance removed below which a trace said next to nothing (10 % of the error)

# How each value is measured directly (common practice, no source). Matched on the end of the path.
WAYS: dict[str, str] = {
    "bore": "a bore gauge at three heights, turned by a quarter",
    "shaft": "a micrometer at three places",
    "positive_volume": "fill the chamber with oil from a syringe at full extension, no spacers",
    "negative_volume": "fill the negative chamber with oil from a syringe at full extension",
    "transfer": "push slowly from full extension and note where the hiss begins and ends",
    "air_spring.seal_friction": "pull and push slowly, the damper taken out: half the loop's height",
    "damper.seal_friction": "pull and push the damper by itself slowly: half the loop's height",
    "bushing_friction": "the same loop with and without a known side load at the axle",
    "spacers.volume": "drop the spacer into a measuring cylinder of water",
    "air_volume": "fill the leg with oil from a syringe at full extension, and take its own oil off",
    "volume": "fill the chamber with oil from a syringe",
    "setting.pressure": "a calibrated gauge, allowing for the air in its hose",
    "rate": "load the spring with two known weights and read the travel",
    "force_zero": "read the load cell with nothing on it, before and after",
    "travel_zero": "read the travel sensor with the unit fully extended and unloaded",
    "viscosity": "a viscometer cup at two temperatures",
}


@dataclass(frozen=True)
class Advice:
    """What the trace could not tell, and what to measure.

    Parameters
    ----------
    untouched : tuple of str
        Parameters about which the trace said next to nothing.
    alike : tuple of (str, str, float)
        Pairs that cannot be told apart, with their correlation (plain number).
    sentences : tuple of str
        All of it in words.
    """

    untouched: tuple[str, ...]
    alike: tuple[tuple[str, str, float], ...]
    sentences: tuple[str, ...]


def advise(fit: Fit, units: UnitChoice | None = None, ways: Mapping[str, str] = WAYS) -> Advice:
    """Say which fitted values the trace does not support, and which measurement would help most.

    Parameters
    ----------
    fit : Fit
        A finished fit.
    units : UnitChoice, optional
        For the numbers in the sentences.
    ways : mapping of str to str
        How to measure a value, by the end of its path.

    Returns
    -------
    Advice
        Empty when every value is well supported.
    """
    names = [p.name for p in fit.parameters]
    untouched = tuple(
        n
        for n, p, share in zip(names, fit.parameters, fit.learned, strict=True)
        if p.tolerance and share < UNTOUCHED
    )
    sentences = [_untouched_words(untouched, ways)] if untouched else []
    alike = _pairs(fit, untouched)
    sentences += [_pair_words(fit, pair, units, ways) for pair in alike]
    loose = [
        p.name
        for p, value, std in zip(fit.parameters, fit.values, fit.std, strict=True)
        if not p.tolerance and std > 0.5 * max(abs(value), 1e-300)
    ]
    told = {n for pair in alike for n in pair[:2]}
    sentences += [
        f"{n} is hardly found by this trace (its error is {_share(fit, n):.0%} of its value): {_way(n, ways)}"
        for n in loose
        if n not in told
    ]
    return Advice(untouched, alike, tuple(sentences))


def _share(fit: Fit, name: str) -> float:
    i = [p.name for p in fit.parameters].index(name)
    return float(min(fit.std[i] / max(abs(fit.values[i]), 1e-300), 99.0))


def _pairs(fit: Fit, untouched: tuple[str, ...]) -> tuple[tuple[str, str, float], ...]:
    """Pairs alike by what the trace alone says, or still alike after the tolerances were used."""
    together = fit.correlation
    alone = correlation_of(_loosely_inverted(fit))
    found = []
    for i, j in itertools.combinations(range(len(fit.parameters)), 2):
        a, b = fit.parameters[i].name, fit.parameters[j].name
        if a in untouched or b in untouched:
            continue
        r = max((float(together[i, j]), float(alone[i, j])), key=abs)
        if abs(r) > ALIKE:
            found.append((a, b, r))
    return tuple(sorted(found, key=lambda pair: -abs(pair[2])))


def _loosely_inverted(fit: Fit) -> Array:
    """Covariance by the trace alone, with tolerances a hundred times as wide so that it always exists."""
    loose = np.array([1e-4 / p.tolerance**2 if p.tolerance else 0.0 for p in fit.parameters])
    size = 1.0 / np.maximum(fit.std, 1e-300)
    scaled = (fit.information + np.diag(loose)) / np.outer(size, size)
    return np.asarray(
        np.linalg.pinv(scaled, hermitian=True, rcond=1e-14) / np.outer(size, size), dtype=np.float64
    )


def _untouched_words(names: tuple[str, ...], ways: Mapping[str, str]) -> str:
    if len(names) == 1:
        return (
            f"this trace says next to nothing about {names[0]}: it stays at the callipers' value; "
            f"to know it better: {_way(names[0], ways)}"
        )
    return (
        f"this trace says next to nothing about {', '.join(names)}: they stay at the callipers' values, "
        "and only measuring them directly would tell more"
    )


def _pair_words(
    fit: Fit, pair: tuple[str, str, float], units: UnitChoice | None, ways: Mapping[str, str]
) -> str:
    """Name the pair, and the one of the two whose direct measurement helps the other most."""
    names = [p.name for p in fit.parameters]
    i, j = names.index(pair[0]), names.index(pair[1])
    gain = {k: float(fit.std[m] / _std_if_known(fit, k, m)) for k, m in ((i, j), (j, i))}
    known, other = (i, j) if gain[i] >= gain[j] else (j, i)
    before, after = float(fit.std[other]), _std_if_known(fit, known, other)
    words = f"{pair[0]} and {pair[1]} cannot be told apart by this trace (correlation {pair[2]:+.3f})"
    if fit.parameters[i].tolerance and fit.parameters[j].tolerance:
        words += "; how they share the change rests on their tolerances"
    if before / after < 1.05:
        return f"{words}; measure either by other means: {_way(names[known], ways)}"
    return (
        f"{words}. Measure {names[known]} ({_way(names[known], ways)}): known to "
        f"± {_spread(fit, known, fit.std[known] / 3, units)}, {names[other]} would be known to "
        f"± {_spread(fit, other, after, units)} instead of ± {_spread(fit, other, before, units)}"
    )


def _std_if_known(fit: Fit, known: int, other: int) -> float:
    """Standard error of `other` if `known` were measured to a third of its present error."""
    c = fit.covariance
    shrink = c[known, other] ** 2 / (c[known, known] * (1 + 1 / 9)) if c[known, known] > 0 else 0.0
    return math.sqrt(max(float(c[other, other] - shrink), 1e-12 * float(c[other, other]), 1e-300))


def _spread(fit: Fit, i: int, std: float, units: UnitChoice | None) -> str:
    text = show_measure(Measure(float(fit.values[i]), float(std)), fit.parameters[i].dimension, units)
    return text.split("±")[-1].strip()


def _way(name: str, ways: Mapping[str, str]) -> str:
    for end in sorted(ways, key=len, reverse=True):
        if name.endswith(end):
            return ways[end]
    return f"measure {name} directly"
