"""Damper oil: viscosity and density with temperature, stiffness with entrained air, and where it parts.

SI throughout: kinematic viscosity in m2/s, temperature in K, pressure absolute in Pa.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from forkwright.physics.errors import Unphysical

Array = NDArray[np.float64]

CENTISTOKE = 1e-6
REFERENCE_PRESSURE = 101325.0
LOWEST_WALTHER_VISCOSITY = 2e-6
"""Below 2 cSt the short form of the Walther equation leaves the standard's range (m2/s)."""
HIGHEST_WALTHER_VISCOSITY = 20.0
"""The standard's widest form ends at 2e7 cSt (from memory): thicker oil has set (m2/s)."""


@dataclass(frozen=True)
class Oil:
    """What an oil does, as five numbers and a viscosity line.

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
    ValueError
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
        raise ValueError("the second oil point must be the hotter one, both above absolute zero")
    if not (np.all(thin > 0.3 * CENTISTOKE) and np.all(thick > thin)):
        raise ValueError("oil gets thinner as it warms: the hotter point must have the lower viscosity")
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
        coldest = float(np.min(temperature))
        raise Unphysical(
            f"at {coldest - 273.15:.0f} °C this oil would be thicker than 2e7 cSt, beyond any viscosity law: "
            "are its two viscosities right?"
        )
    return np.asarray(viscosity, dtype=np.float64)


def viscosity_index(viscosity_at_40: float, viscosity_at_100: float) -> float:
    """Viscosity index of an oil from its kinematic viscosities (m2/s) at 40 and 100 degrees C.

    Parameters
    ----------
    viscosity_at_40, viscosity_at_100 : float
        Kinematic viscosities at 40 and 100 degrees C, m2/s.

    Returns
    -------
    float
        No unit.

    Raises
    ------
    ValueError
        If the viscosity at 100 degrees C lies outside 2 to 15 cSt, the part of the standard kept here.

    Notes
    -----
    Source: ASTM D2270 (ISO 2909), procedures A and B; the piecewise quadratics for L and H are the
    standard's own replacement for its table (from memory; the tests hold them to the standard's worked
    examples and to rows of its table).

    Examples
    --------
    >>> round(viscosity_index(73.30e-6, 8.86e-6))
    92
    """
    low, high = _index_limits(viscosity_at_100 / CENTISTOKE)
    at_40 = viscosity_at_40 / CENTISTOKE
    if at_40 >= high:
        return (low - at_40) / (low - high) * 100.0
    power = (np.log10(high) - np.log10(at_40)) / np.log10(viscosity_at_100 / CENTISTOKE)
    return float((10.0**power - 1.0) / 0.00715 + 100.0)


def viscosity_from_index(viscosity_at_40: float, index: float) -> float:
    """Kinematic viscosity at 100 degrees C (m2/s) of an oil labelled by viscosity at 40 and index.

    Parameters
    ----------
    viscosity_at_40 : float
        Kinematic viscosity at 40 degrees C, m2/s.
    index : float
        Viscosity index; no unit.

    Returns
    -------
    float
        Kinematic viscosity at 100 degrees C, m2/s.

    Raises
    ------
    ValueError
        If no viscosity between 2 and 15 cSt at 100 degrees C has that index.

    Notes
    -----
    Inverts `viscosity_index` (ASTM D2270) by bisection; the index rises with the viscosity at 100.

    Examples
    --------
    >>> round(viscosity_from_index(22.83e-6, 156.0) * 1e6, 2)
    5.04
    """
    thin, thick = 2.0 * CENTISTOKE, min(15.0 * CENTISTOKE, 0.999 * viscosity_at_40)
    if thick <= thin or not (
        viscosity_index(viscosity_at_40, thin) <= index <= viscosity_index(viscosity_at_40, thick)
    ):
        raise ValueError("no oil between 2 and 15 cSt at 100 °C has this viscosity at 40 °C and this index")
    for _ in range(80):
        middle = 0.5 * (thin + thick)
        if viscosity_index(viscosity_at_40, middle) < index:
            thin = middle
        else:
            thick = middle
    return 0.5 * (thin + thick)


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
    oil = (1.0 - free_air) * (1.0 - (pressure - REFERENCE_PRESSURE) / bulk_modulus)
    return oil + free_air * (REFERENCE_PRESSURE / pressure) ** (1.0 / exponent)


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
    air = free_air * (REFERENCE_PRESSURE / pressure) ** (1.0 / exponent)
    softness = (1.0 - free_air) / bulk_modulus + air / (exponent * pressure)
    return mixture_volume(pressure, bulk_modulus, free_air, exponent) / softness


def _double_logarithm(viscosity: Array) -> Array:
    return np.log10(np.log10(viscosity / CENTISTOKE + 0.7))


_INDEX_PIECES = (
    # upper end of Y (cSt), then L = a Y^2 + b Y + c and H = d Y^2 + e Y + f
    (3.8, (1.14673, 1.7576, -0.109), (0.84155, 1.5521, -0.077)),
    (4.4, (3.38095, -15.4952, 33.196), (0.78571, 1.7929, -0.183)),
    (5.0, (2.5000, -7.2143, 13.812), (0.82143, 1.5679, 0.119)),
    (6.4, (0.10100, 16.6350, -45.469), (0.04985, 9.1613, -18.557)),
    (7.0, (3.35714, -23.5643, 78.466), (0.22619, 7.7369, -16.656)),
    (7.7, (0.01191, 21.4750, -72.870), (0.79762, -0.7321, 14.610)),
    (9.0, (0.41858, 16.1558, -56.040), (0.05794, 10.5156, -28.240)),
    (12.0, (0.88779, 7.5527, -16.600), (0.26665, 6.7015, -10.810)),
    (15.0, (0.76720, 10.7972, -38.180), (0.20073, 8.4658, -22.490)),
)


def _index_limits(viscosity_at_100: float) -> tuple[float, float]:
    """L and H of ASTM D2270 (cSt) for a viscosity at 100 degrees C in cSt."""
    if not 2.0 <= viscosity_at_100 <= 15.0:
        raise ValueError("the viscosity index is kept here for 2 to 15 cSt at 100 °C")
    y = viscosity_at_100
    for upper, (a, b, c), (d, e, f) in _INDEX_PIECES:
        if y <= upper:
            return a * y * y + b * y + c, d * y * y + e * y + f
    raise AssertionError("unreachable: the last piece ends at the range's end")
