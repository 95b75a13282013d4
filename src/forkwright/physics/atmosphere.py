"""The standard atmosphere: ambient pressure at an altitude."""

from __future__ import annotations

import numpy as np

from forkwright.physics.constants import P0
from forkwright.physics.errors import Unphysical

# US Standard Atmosphere 1976 (NOAA-S/T 76-1562), table 4 and equation 33a: lowest layer.
_T_SEA = 288.15  # K
_LAPSE = 0.0065  # K per m of geopotential altitude
_EXPONENT = 5.255876  # g0 M / (R* L), from the constants of the same document
LOWEST, HIGHEST = -1000.0, 11000.0  # m, where the lowest layer's law is used


def standard_pressure(altitude: float) -> float:
    """Return the ambient pressure of the US Standard Atmosphere 1976.

    Parameters
    ----------
    altitude : float
        Geopotential altitude above sea level, m.

    Returns
    -------
    float
        Absolute pressure, Pa.

    Raises
    ------
    Unphysical
        Outside -1000 m to 11,000 m, where this layer does not hold.

    Notes
    -----
    Source: US Standard Atmosphere 1976, equation (33a) with the constants of its table 4.

    Examples
    --------
    >>> round(standard_pressure(1000.0))
    89875
    """
    if not (np.isfinite(altitude) and LOWEST <= altitude <= HIGHEST):
        raise Unphysical(
            f"no standard atmosphere at an altitude of {altitude:g} m; allowed: {LOWEST:g} m to {HIGHEST:g} m"
        )
    return float(P0 * (1.0 - _LAPSE * altitude / _T_SEA) ** _EXPONENT)
