"""Oil with undissolved air in it: the volume it takes and how stiff it is.

The dynamometer's compiled loop carries the same volume law, with its slope; its tests hold it to these.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from forkwright.physics.constants import P0
from forkwright.physics.values import Array


def mixture_volume(pressure: ArrayLike, bulk_modulus: float, free_air: float, exponent: float) -> Array:
    """Volume of oil with free air, as a share of its volume at 101325 Pa absolute.

    Parameters
    ----------
    pressure : array_like
        Absolute pressure (Pa), above zero.
    bulk_modulus : float
        Of the oil alone (Pa); its volume falls linearly with pressure, ``1 - dp/K``.
    free_air : float
        Undissolved air as a share of the mixture's volume at 101325 Pa.
    exponent : float
        Polytropic exponent of the air: 1 slow (isothermal), 1.4 fast. No air dissolves while compressed.

    Returns
    -------
    array
        Share of the volume at 101325 Pa absolute; no unit.

    Notes
    -----
    Derived from conservation of both masses.

    Examples
    --------
    >>> float(mixture_volume(101325.0, 1.5e9, 0.01, 1.0))
    1.0
    """
    pressure = np.asarray(pressure, float)
    oil = (1.0 - free_air) * (1.0 - (pressure - P0) / bulk_modulus)
    return oil + free_air * (P0 / pressure) ** (1.0 / exponent)


def effective_bulk_modulus(
    pressure: ArrayLike, bulk_modulus: float, free_air: float, exponent: float
) -> Array:
    """Bulk modulus of oil with free air (Pa) at an absolute pressure (Pa): ``-V dp/dV``.

    Parameters as `mixture_volume`.

    Parameters
    ----------
    pressure : array_like
        Absolute pressure (Pa), above zero.
    bulk_modulus : float
        Of the oil alone (Pa).
    free_air : float
        Undissolved air as a share of the mixture's volume at 101325 Pa.
    exponent : float
        Polytropic exponent of the air: 1 slow, 1.4 fast.

    Returns
    -------
    array
        Pa.

    Notes
    -----
    Derived: ``K_e = (V_l + V_g) / (V_l0 / K + V_g / (n p))``.

    Examples
    --------
    >>> round(float(effective_bulk_modulus(10e5, 1.5e9, 0.01, 1.0)) / 1e6)
    592
    """
    pressure = np.asarray(pressure, float)
    air = free_air * (P0 / pressure) ** (1.0 / exponent)
    softness = (1.0 - free_air) / bulk_modulus + air / (exponent * pressure)
    return mixture_volume(pressure, bulk_modulus, free_air, exponent) / softness
