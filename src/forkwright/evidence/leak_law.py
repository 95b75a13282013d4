"""What a leak and a gauge do to the gas of a chamber: closed forms, no readings."""

from __future__ import annotations

import math

import numpy as np

from forkwright.physics.values import Array

GAS_CONSTANT = 8.314462618  # J/(mol K), exact in the 2019 SI


def leaked_pressure(time: Array, start: float, rate: float, ambient: float) -> Array:
    """Return the pressure over time (Pa, absolute) of a chamber that leaks through a long narrow gap.

    Parameters
    ----------
    time : ndarray
        s.
    start : float
        Pa, absolute, at time zero.
    rate : float
        Pa/s lost at time zero.
    ambient : float
        Pa, absolute.

    Notes
    -----
    Source: closed form of ``dp/dt = -k (p^2 - p_amb^2)`` (derived).
    """
    c = (start - ambient) / (start + ambient)
    k = rate / (start**2 - ambient**2)
    left = c * np.exp(-2.0 * k * ambient * time)
    return np.asarray(ambient * (1.0 + left) / (1.0 - left), dtype=np.float64)


def half_life(start: float, rate: float, ambient: float) -> float:
    """Time until half of the gauge pressure is gone, from the closed form."""
    k = rate / (start**2 - ambient**2)
    half = ambient + (start - ambient) / 2
    ratio = ((start - ambient) / (start + ambient)) / ((half - ambient) / (half + ambient))
    return math.log(ratio) / (2.0 * k * ambient)


def undo_gauge_losses(pressure: Array, volume: float, hose_volume: float, ambient: float) -> Array:
    """Return what a chamber would hold if no reading had cost it gas (Pa, absolute).

    Each connection mixes the chamber with a hose full of ambient air: ``p1 = (p0 V + p_amb V_h)/(V + V_h)``;
    what fills the hose is lost when the pump comes off.

    Parameters
    ----------
    pressure : ndarray, shape (n,)
        Pa, absolute, as read with the hose on.
    volume, hose_volume : float
        m3.
    ambient : float
        Pa, absolute.

    Notes
    -----
    Source: amounts of an ideal gas add at one temperature (derived).
    """
    before = (pressure * (volume + hose_volume) - ambient * hose_volume) / volume
    lost = np.cumsum(before - pressure)
    return np.asarray(before + np.concatenate([[0.0], lost[:-1]]), dtype=np.float64)
