"""Damper oil: viscosity and density with temperature, and the numbers that say what an oil does.

SI throughout: kinematic viscosity in m2/s, temperature in K, pressure absolute in Pa. An oil known by its
label alone gets its second viscosity from `viscosity_index`; oil with air in it is in `oil_air`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from forkwright.physics.constants import CENTISTOKE, ZERO_CELSIUS
from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array

LOWEST_WALTHER_VISCOSITY = 2e-6
"""Below 2 cSt the short form of the Walther equation leaves the standard's range (m2/s)."""
HIGHEST_WALTHER_VISCOSITY = 20.0
"""The standard's widest form ends at 2e7 cSt (from memory): thicker oil has set (m2/s)."""


@dataclass(frozen=True)
class Oil:
    """What an oil does: a viscosity line and six numbers.

    Parameters
    ----------
    walther_a, walther_b : float
        Constants of the Walther line (see `walther_constants`), for viscosity in cSt and temperature in K.
    reference_density : float
        Density (kg/m3) at `density_temperature` (K).
    expansion : float
        Loss of density per kelvin as a share of `reference_density` (1/K).
    bulk_modulus : float
        Of the oil without air (Pa).
    free_air : float
        Undissolved air as a share of the mixture's volume at 101325 Pa absolute.
    parting_pressure : float
        Absolute pressure below which the oil no longer holds together (Pa).
    """

    walther_a: float
    walther_b: float
    reference_density: float
    density_temperature: float
    expansion: float
    bulk_modulus: float
    free_air: float
    parting_pressure: float

    def kinematic_viscosity(self, temperature: float) -> float:
        """Kinematic viscosity (m2/s) at `temperature` (K)."""
        return float(walther_viscosity(self.walther_a, self.walther_b, temperature))

    def density(self, temperature: float) -> float:
        """Density (kg/m3) at `temperature` (K); see `density`."""
        return density(self.reference_density, self.density_temperature, self.expansion, temperature)

    def dynamic_viscosity(self, temperature: float) -> float:
        """Dynamic viscosity (Pa s) at `temperature` (K)."""
        return self.kinematic_viscosity(temperature) * self.density(temperature)


def walther_constants(
    first_temperature: ArrayLike,
    first_viscosity: ArrayLike,
    second_temperature: ArrayLike,
    second_viscosity: ArrayLike,
) -> tuple[Array, Array]:
    """Constants A and B of ``log10 log10(v + 0.7) = A - B log10 T`` through two measured points.

    Parameters
    ----------
    first_temperature, second_temperature : array_like
        Temperatures (K), the second one higher.
    first_viscosity, second_viscosity : array_like
        Kinematic viscosities (m2/s); the hotter oil is the thinner one.

    Returns
    -------
    tuple of ndarray
        A and B, for v in cSt and T in K.

    Raises
    ------
    Unphysical
        If the points are not in order (temperature must rise and viscosity fall), or not positive.

    Notes
    -----
    Source: ASTM D341, the short form that holds above 2 cSt.

    Examples
    --------
    >>> a, b = walther_constants(313.0, 32e-6, 373.0, 5.4e-6)
    >>> round(float(a), 4), round(float(b), 4)
    (9.5259, 3.7449)
    """
    cold, hot = np.asarray(first_temperature, float), np.asarray(second_temperature, float)
    thick, thin = np.asarray(first_viscosity, float), np.asarray(second_viscosity, float)
    if not (np.all(cold > 0.0) and np.all(hot > cold)):
        raise Unphysical("the second oil point must be the hotter one, both above absolute zero")
    if not (np.all(thin > 0.3 * CENTISTOKE) and np.all(thick > thin)):
        raise Unphysical("oil gets thinner as it warms: the hotter point must have the lower viscosity")
    cold_side, hot_side = _double_logarithm(thick), _double_logarithm(thin)
    slope = (cold_side - hot_side) / (np.log10(hot) - np.log10(cold))
    return cold_side + slope * np.log10(cold), slope


def walther_viscosity(walther_a: ArrayLike, walther_b: ArrayLike, temperature: ArrayLike) -> Array:
    """Kinematic viscosity (m2/s) at a temperature (K) on a Walther line.

    Parameters
    ----------
    walther_a, walther_b : array_like
        Constants of the line, from `walther_constants`; no unit (cSt and K inside).
    temperature : array_like
        K.

    Returns
    -------
    array
        m2/s.

    Notes
    -----
    Source: ASTM D341, short form. Below `LOWEST_WALTHER_VISCOSITY` the caller should warn.

    Raises
    ------
    Unphysical
        Above `HIGHEST_WALTHER_VISCOSITY`: two points that lie badly give an oil that is no liquid.

    Examples
    --------
    >>> round(float(walther_viscosity(9.5259, 3.7449, 353.0)) * 1e6, 1)
    8.5
    """
    exponent = np.asarray(walther_a, float) - np.asarray(walther_b, float) * np.log10(temperature)
    with np.errstate(over="ignore"):
        viscosity = (10.0 ** (10.0**exponent) - 0.7) * CENTISTOKE
    if np.any(viscosity > HIGHEST_WALTHER_VISCOSITY):
        coldest = float(np.min(temperature)) - ZERO_CELSIUS
        raise Unphysical(
            f"at {coldest:.0f} °C this oil would be thicker than 2e7 cSt, beyond any viscosity law: "
            "are its two viscosities right?"
        )
    return np.asarray(viscosity, dtype=np.float64)


def density(
    reference_density: float, reference_temperature: float, expansion: float, temperature: float
) -> float:
    """Density (kg/m3), linear in temperature (K); `expansion` in 1/K of the reference density.

    Parameters
    ----------
    reference_density : float
        kg/m3.
    reference_temperature : float
        K, at which the reference density holds.
    expansion : float
        Share of the reference density lost per kelvin, 1/K.
    temperature : float
        K.

    Returns
    -------
    float
        kg/m3.

    Notes
    -----
    Source: the definition of a constant volumetric loss per kelvin; mineral oils lose about 0.0007 to
    0.0008 of their density at 15 degrees C per kelvin (common practice, no source).

    Examples
    --------
    >>> density(850.0, 288.15, 0.00075, 298.15)
    843.625
    """
    return reference_density * (1.0 - expansion * (temperature - reference_temperature))


def _double_logarithm(viscosity: Array) -> Array:
    return np.log10(np.log10(viscosity / CENTISTOKE + 0.7))
