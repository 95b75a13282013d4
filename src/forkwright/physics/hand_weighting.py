"""How much each frequency of vibration counts at the hand: the weighting Wh of ISO 5349-1."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array

LOWER_LIMIT, UPPER_LIMIT = 10.0**0.8, 10.0**3.1
"""Band limits of Wh, Hz (second-order Butterworth each)."""

TRANSITION = 100.0 / (2.0 * np.pi)
"""Corner f3 = f4 of the weighting, Hz."""

RESONANCE = 0.64
"""Q4 of the weighting, dimensionless."""


def hand_weighting(frequency: NDArray[np.floating] | float) -> Array:
    """Weighting factor Wh for vibration that enters at the hand.

    Parameters
    ----------
    frequency
        Frequency, Hz, zero or more; any shape.

    Returns
    -------
    Factor, dimensionless, of the shape of `frequency`.

    Source
    ------
    ISO 5349-1:2001, annex A: band limiting at 10^0.8 and 10^3.1 Hz, then f3 = f4 = 100/(2 pi) Hz and a
    resonance of 0.64; symbols as in ISO 8041 (from memory).
    The factors of its table A.2 hold at the exact third-octave centres 10^(k/10) Hz.

    Examples
    --------
    >>> round(float(hand_weighting(10.0**1.1)), 3)
    0.958
    """
    s = 1j * np.asarray(frequency, dtype=np.float64)
    highpass = s**2 / (s**2 + np.sqrt(2.0) * LOWER_LIMIT * s + LOWER_LIMIT**2)
    lowpass = UPPER_LIMIT**2 / (s**2 + np.sqrt(2.0) * UPPER_LIMIT * s + UPPER_LIMIT**2)
    weighting = (s + TRANSITION) * TRANSITION / (s**2 + TRANSITION / RESONANCE * s + TRANSITION**2)
    factor: Array = np.abs(highpass * lowpass * weighting)
    return factor


def weighted_rms(acceleration: Array, step: float) -> float:
    """Root mean square of an acceleration at the hand after the weighting Wh.

    The series is weighted in the frequency domain (magnitude only; the phase does not change a mean square),
    padded with zeros so that its end does not run into its beginning.

    Parameters
    ----------
    acceleration
        m/s^2, shape (n,), evenly spaced in time.
    step
        Time step, s.

    Returns
    -------
    Weighted root mean square over the whole series, m/s^2.

    Source
    ------
    ISO 5349-1:2001, 4.3, for one axis; Parseval's theorem.

    Examples
    --------
    >>> time = 0.0005 * np.arange(40000)
    >>> round(weighted_rms(np.sqrt(2.0) * np.sin(2 * np.pi * 10.0**1.1 * time), 0.0005), 2)
    0.96
    """
    from scipy.fft import next_fast_len, rfft

    count = acceleration.size
    padded = next_fast_len(count + int(1.0 / step), real=True)
    spectrum = rfft(acceleration - acceleration.mean(), padded)
    power = (spectrum.real**2 + spectrum.imag**2) * _squared_weights(padded, step)
    total = power[0] + 2.0 * power[1:-1].sum() + power[-1] * (1.0 if padded % 2 == 0 else 2.0)
    return float(np.sqrt(total / (padded * count)))


@lru_cache(maxsize=8)
def _squared_weights(count: int, step: float) -> Array:
    """Squared weights at the frequencies of a transform; rides of one course ask for the same ones."""
    weights = hand_weighting(np.fft.rfftfreq(count, step)) ** 2
    weights.flags.writeable = False
    return weights
