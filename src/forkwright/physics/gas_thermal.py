"""A gas that trades heat with the walls of its chamber: between isothermal and adiabatic.

State of a chamber is ``S = p V`` (J): the internal energy of an ideal gas is ``S/(gamma - 1)``. With heat
passing at ``m cv (Tw - T)/tau`` it obeys ``dS/dt = -(gamma - 1) p dV/dt + (S_wall - S)/tau`` where ``S_wall
= n R Tw``. Slow strokes (``w tau << 1``) follow ``p V = const``, fast ones ``p V^gamma = const``; between
them the gas dissipates, as `small_stroke_stiffness` says. The ride's compiled step carries this law for every
chamber; its tests hold it to the formulas here.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.gas import ADIABATIC
from forkwright.physics.values import Array


def heat_content_rate(
    heat_content: Array | float,
    volume: Array | float,
    volume_rate: Array | float,
    wall_content: float,
    time_constant: float,
    ratio: float = ADIABATIC,
) -> Array:
    """Rate of change of ``S = p V`` of a closed chamber.

    Parameters
    ----------
    heat_content
        S = p V, J.
    volume
        Chamber volume, m^3, above zero.
    volume_rate
        Its rate, m^3/s, positive when the chamber grows.
    wall_content
        S at wall temperature, n R Tw, J.
    time_constant
        Time constant tau of heat passing to the wall, s; ``inf`` for none.
    ratio
        Ratio of specific heats, dimensionless.

    Returns
    -------
    dS/dt, W.

    Source
    ------
    First law for an ideal gas with a lumped wall conductance (derived); the time-constant form is common in
    the study of gas-charged accumulators (Pourmovahed and Otis, 1990; title and year from memory).

    Examples
    --------
    >>> float(heat_content_rate(100.0, 1e-4, 0.0, 90.0, 2.0))
    -5.0
    """
    S = np.asarray(heat_content, dtype=np.float64)
    V, V_rate = np.asarray(volume, dtype=np.float64), np.asarray(volume_rate, dtype=np.float64)
    rate: Array = -(ratio - 1.0) * S / V * V_rate + (wall_content - S) / time_constant
    return rate


def small_stroke_stiffness(
    frequency: Array | float,
    pressure: float,
    volume: float,
    area: float,
    time_constant: float,
    ratio: float = ADIABATIC,
) -> NDArray[np.complex128]:
    """Complex stiffness of a piston on a gas chamber for small strokes about rest.

    ``K = (p A^2/V) (1 + i w gamma tau)/(1 + i w tau)``: from the isothermal ``p A^2/V`` to the adiabatic
    ``gamma p A^2/V``. Its imaginary part peaks at ``w tau = 1`` with ``(gamma - 1)/2``; the loss factor
    peaks at ``w tau = 1/sqrt(gamma)`` with ``(gamma - 1)/(2 sqrt(gamma))``.

    Parameters
    ----------
    frequency
        Frequency, Hz.
    pressure
        Absolute resting pressure, Pa.
    volume
        Resting volume, m^3.
    area
        Piston area, m^2.
    time_constant
        tau, s.
    ratio
        Ratio of specific heats, dimensionless.

    Returns
    -------
    Complex stiffness, N/m; the energy lost per cycle of amplitude X is ``pi X^2`` times its imaginary part.

    Source
    ------
    Linearised first law of `heat_content_rate` (derived); the standard linear solid of viscoelasticity.

    Examples
    --------
    >>> K = small_stroke_stiffness(1.0 / (2 * np.pi * 0.5), 7e5, 2e-4, 8e-4, 0.5)
    >>> round(float(K.imag / (7e5 * 8e-4**2 / 2e-4)), 6)
    0.2
    """
    angular = 2.0j * np.pi * np.asarray(frequency) * time_constant
    return np.asarray(pressure * area**2 / volume * (1.0 + ratio * angular) / (1.0 + angular))
