"""Guesses from the numbers themselves: the unit, and whether the sensor counts the other way.

The ranges are common practice, no source; that is why every guess is shown and must be confirmed.
"""

from __future__ import annotations

import numpy as np

from forkwright.physics.values import Array

# For each kind: (unit, smallest plausible span, largest plausible span) of the readings, best guess first.
_RANGES: dict[str, tuple[tuple[str, float, float], ...]] = {
    "length": (("m", 0.0, 0.6), ("in", 0.6, 12.0), ("mm", 12.0, 400.0)),
    "pressure": (("MPa", 0.0, 1.0), ("bar", 1.0, 40.0), ("psi", 40.0, 400.0), ("kPa", 400.0, 4e4)),
    "force": (("kN", 0.0, 10.0), ("N", 10.0, 2e5)),
    "temperature": (("°C", -60.0, 150.0), ("K", 200.0, 420.0)),
    "speed": (("m/s", 0.0, 25.0), ("km/h", 25.0, 120.0), ("mm/s", 120.0, 2e4)),
    "acceleration": (("g0", 0.0, 8.0), ("m/s2", 8.0, 2000.0)),
}


def guess_unit(readings: Array, dimension: str) -> tuple[str, str]:
    """Guess the unit of a column without one, from how far its readings run.

    Returns
    -------
    unit, why : str
        The most plausible unit and the reason, in words.
    """
    low, high = _ends(readings)
    if dimension == "time":
        return _time_unit(readings)
    largest = max(abs(low), abs(high))
    words = f"its values run from {low:.4g} to {high:.4g}"
    for unit, least, most in _RANGES.get(dimension, ()):
        if least <= largest <= most:
            return unit, words
    fallback = _RANGES.get(dimension, (("", 0, 0),))[-1][0]
    return fallback, f"{words}, which fits no unit well (raw sensor counts need a scale of their own)"


def _ends(readings: Array) -> tuple[float, float]:
    present = readings[np.isfinite(readings)]
    return (float(present.min()), float(present.max())) if present.size else (0.0, 0.0)


def _time_unit(readings: Array) -> tuple[str, str]:
    start = readings[:1000]
    steps = np.diff(start[np.isfinite(start)])
    step = float(np.median(steps)) if steps.size else 1.0
    unit = "s" if step < 0.5 else "ms" if step < 100 else "us"
    return unit, f"its steps are {step:.4g}"


def guess_reversed(readings: Array, factor: float) -> tuple[bool, float, str]:
    """Guess whether a travel column counts from full travel or downwards.

    Parameters
    ----------
    readings : ndarray
        Readings in the file's unit.
    factor : float
        Metres for one unit.

    Returns
    -------
    reversed, zero, why : bool, float, str
        Whether to turn the sign, the reading that means full extension (file's unit), and the reason
        ("" when nothing speaks for a reversed sensor).
    """
    sample = readings[:: max(1, readings.size // 50_000)]
    sample = sample[np.isfinite(sample)]
    if sample.size < 20:
        return False, 0.0, ""
    low, high, middle = (float(q) for q in np.quantile(sample, (0.001, 0.999, 0.5)))
    span = high - low
    if span * abs(factor) < 0.005:
        return False, 0.0, ""
    if high < 0.1 * span and low < -0.5 * span:
        return True, 0.0, "almost all of its values are negative"
    skew = ((high - middle) - (middle - low)) / span
    if skew < -0.35 and low > -0.05 * span:
        return (
            True,
            high,
            (
                f"it rests near {middle:.4g} and reaches down to {low:.4g}, while a fork rests near full "
                f"extension; zero is guessed at its highest reading, {high:.4g}"
            ),
        )
    return False, 0.0, ""
