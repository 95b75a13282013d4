"""How rough a trail is: the spectrum of ISO 8608, and heights drawn from it.

The standard describes a surface by the one-sided displacement spectral density over spatial frequency,
``Gd(n) = Gd(n0) (n/n0)^-w`` with ``n0 = 0.1`` cycle/m, and names classes A to H by ``Gd(n0)`` at ``w = 2``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array

REFERENCE_FREQUENCY = 0.1
"""Reference spatial frequency n0 of ISO 8608, cycle/m."""

CLASS_MEAN: dict[str, float] = {letter: 16e-6 * 4**step for step, letter in enumerate("ABCDEFGH")}
"""Geometric mean of Gd(n0) for each class of ISO 8608, m^3; a class reaches from half to twice its mean."""

LOWEST_FREQUENCY, HIGHEST_FREQUENCY = 0.011, 2.83
"""Band over which ISO 8608 reports a profile, cycle/m."""


def displacement_density(
    spatial_frequency: NDArray[np.floating] | float, roughness: float, waviness: float = 2.0
) -> Array:
    """One-sided displacement spectral density of a surface.

    Parameters
    ----------
    spatial_frequency
        Spatial frequency, cycle/m, above zero; any shape.
    roughness
        Gd(n0), the density at 0.1 cycle/m, m^3.
    waviness
        Exponent w, dimensionless: 2 in the standard's classes, larger for surfaces that are smooth at short
        and rough at long wavelengths.

    Returns
    -------
    Density, m^3, of the shape of `spatial_frequency`.

    Source
    ------
    ISO 8608, classification by displacement spectral density.

    Examples
    --------
    >>> round(float(displacement_density(0.1, CLASS_MEAN["C"])) * 1e6, 6)
    256.0
    """
    return roughness * (np.asarray(spatial_frequency, dtype=np.float64) / REFERENCE_FREQUENCY) ** -waviness


def root_mean_square_height(
    roughness: float,
    waviness: float = 2.0,
    lowest: float = LOWEST_FREQUENCY,
    highest: float = HIGHEST_FREQUENCY,
) -> float:
    """Root mean square height of a surface over a band of spatial frequencies.

    Parameters
    ----------
    roughness
        Gd(n0), m^3.
    waviness
        Exponent w, dimensionless.
    lowest, highest
        Ends of the band, cycle/m.

    Returns
    -------
    Root mean square height, m.

    Source
    ------
    Integral of the ISO 8608 density over the band (derived).

    Examples
    --------
    >>> round(root_mean_square_height(CLASS_MEAN["C"]) * 1e3, 2)
    15.23
    """
    if abs(waviness - 1.0) < 1e-9:
        return float(np.sqrt(roughness * REFERENCE_FREQUENCY * np.log(highest / lowest)))
    power = 1.0 - waviness
    band = (highest**power - lowest**power) / power
    return float(np.sqrt(roughness * REFERENCE_FREQUENCY**waviness * band))


def drawn_heights(
    count: int,
    spacing: float,
    roughness: float,
    waviness: float = 2.0,
    lowest: float = LOWEST_FREQUENCY,
    highest: float = HIGHEST_FREQUENCY,
    seed: int = 0,
) -> Array:
    """Heights of a surface whose spectrum is exactly that of ISO 8608, with phases drawn at random.

    Each line of the spectrum gets the amplitude ``sqrt(2 Gd(n) dn)`` and a phase uniform on the circle; the
    sum is taken by an inverse Fourier transform, so the surface repeats after ``count * spacing``.

    Parameters
    ----------
    count
        Number of heights, at least 2.
    spacing
        Distance between heights, m.
    roughness
        Gd(n0), m^3; zero gives a flat surface.
    waviness
        Exponent w, dimensionless.
    lowest, highest
        Ends of the band of spatial frequencies that carry roughness, cycle/m.
    seed
        Seed of the phases, dimensionless: the same seed gives the same surface.

    Returns
    -------
    Heights, m, shape (count,), mean zero.

    Source
    ------
    ISO 8608 for the density; random-phase spectral synthesis, Shinozuka and Jan, "Digital simulation of
    random processes and its applications", J. Sound and Vibration 25 (1972) (title from memory).

    Examples
    --------
    >>> heights = drawn_heights(4096, 0.05, CLASS_MEAN["B"], seed=3)
    >>> heights.shape
    (4096,)
    """
    frequency = np.fft.rfftfreq(count, spacing)
    step = 1.0 / (count * spacing)
    inside = (frequency >= max(lowest, 0.5 * step)) & (frequency <= highest)
    if count % 2 == 0:
        inside[-1] = False  # the Nyquist line carries no phase
    phase = np.random.default_rng(seed).uniform(0.0, 2.0 * np.pi, frequency.size)
    amplitude = np.zeros(frequency.size)
    amplitude[inside] = np.sqrt(2.0 * displacement_density(frequency[inside], roughness, waviness) * step)
    return np.fft.irfft(0.5 * count * amplitude * np.exp(1j * phase), count)


def disc_envelope(heights: Array, spacing: float, radius: float) -> Array:
    """Height of the lowest point of a rigid disc that rolls over a surface and never cuts into it.

    The axle height over a point is the largest of ``h(s + u) + sqrt(R^2 - u^2)`` over ``|u| < R``. A square
    edge thereby becomes an arc that the wheel meets ``sqrt(2 R a - a^2)`` before the edge of height ``a``.

    Parameters
    ----------
    heights
        Surface heights, m, shape (n,), evenly spaced.
    spacing
        Distance between heights, m.
    radius
        Radius of the wheel, m; zero returns the surface itself.

    Returns
    -------
    Heights of the disc's lowest point, m, shape (n,); never below the surface.

    Source
    ------
    Geometry (derived): grey-scale dilation of the surface by a circular arc.

    Examples
    --------
    >>> edge = np.where(np.arange(400) < 200, 0.0, 0.1)
    >>> path = disc_envelope(edge, 0.005, 0.35)
    >>> bool(path[100] == 0.0 and abs(path[250] - 0.1) < 1e-12)
    True
    """
    from scipy.ndimage import grey_dilation

    reach = int(np.floor(radius / spacing))
    if reach < 1:
        return np.array(heights, dtype=np.float64)
    offset = np.arange(-reach, reach + 1) * spacing
    arc = np.sqrt(np.maximum(radius**2 - offset**2, 0.0)) - radius
    path = grey_dilation(heights, footprint=np.ones(arc.size, dtype=bool), structure=arc, mode="nearest")
    return np.asarray(path, dtype=np.float64)


def patch_average(heights: Array, spacing: float, length: float) -> Array:
    """Mean height under a tyre's contact patch.

    Parameters
    ----------
    heights
        Heights, m, shape (n,), evenly spaced.
    spacing
        Distance between heights, m.
    length
        Length of the contact patch, m; shorter than twice `spacing` returns the heights themselves.

    Returns
    -------
    Heights, m, shape (n,).

    Source
    ------
    Own definition: a moving mean over the patch, run twice so that the path has a continuous slope.

    Examples
    --------
    >>> patch_average(np.array([0.0, 0.0, 0.3, 0.0, 0.0]), 0.01, 0.03).round(3).tolist()
    [0.033, 0.067, 0.1, 0.067, 0.033]
    """
    from scipy.ndimage import uniform_filter1d

    width = 2 * int(length / spacing / 2.0) + 1
    if width < 3:
        return np.array(heights, dtype=np.float64)
    once = uniform_filter1d(heights, width, mode="nearest")
    return np.asarray(uniform_filter1d(once, width, mode="nearest"), dtype=np.float64)
