"""How one flat ring of steel bends: held level at its clamp, free at its rim, loaded round and round.

Answers first: :func:`ring_load_response` and :func:`pressure_response` give lift, slope and curvature of a
thin annular plate anywhere for a load anywhere, in closed form. Everything is per unit of bending stiffness,
so one shape serves discs of any thickness. A disc that is dished when free is in `coned_disc`, what a bend
does to the steel in `plate_stress`.

Where the formulas come from. Thin-plate (Kirchhoff) theory in polar coordinates with no change round the
disc: ``D (1/r d/dr(r d/dr))^2 w = q``. Two pieces carry no singular constants and are written out here:

- ``f(r, s) = (r^2 + s^2) ln(r/s) - (r^2 - s^2)``: the bend that a unit jump of ring shear at ``s`` starts
  (lift, slope and curvature are zero at ``s``),
- ``h(r, c) = r^2 - c^2 - 2 c^2 ln(r/c)``: the shear-free bend that is flat and level at the clamp ``c``.

The rim is free: no shear there (balanced by the ring shear at the clamp) and no radial moment, which fixes
the amount of ``h``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from forkwright.physics.values import Array


@dataclass(frozen=True)
class PlateBend:
    """A bent shape along the radius.

    Attributes
    ----------
    lift : ndarray
        Deflection in the direction of a positive load, m (per unit load and rigidity where a function says
        so).
    slope : ndarray
        First derivative of the lift along the radius.
    curvature : ndarray
        Second derivative of the lift along the radius.
    """

    lift: Array
    slope: Array
    curvature: Array

    def scaled(self, factor: float) -> PlateBend:
        """Return the same shape, `factor` (no unit) times as large."""
        return PlateBend(self.lift * factor, self.slope * factor, self.curvature * factor)


def plate_rigidity(youngs_modulus: float, thickness: float, poisson: float) -> float:
    """Bending rigidity of a plate, ``D = E h^3 / (12 (1 - nu^2))``.

    Parameters
    ----------
    youngs_modulus : float
        Pa.
    thickness : float
        m.
    poisson : float
        Poisson's ratio, no unit.

    Returns
    -------
    float
        N m.

    Source
    ------
    Timoshenko & Woinowsky-Krieger, *Theory of Plates and Shells*, 2nd ed., eq. (3) (from memory).

    Examples
    --------
    >>> round(plate_rigidity(206e9, 0.15e-3, 0.3), 8)
    0.06366758
    """
    return youngs_modulus * thickness**3 / (12.0 * (1.0 - poisson**2))


def ring_load_response(
    radius: ArrayLike, load_radius: ArrayLike, clamp_radius: float, outer_radius: ArrayLike, poisson: float
) -> PlateBend:
    """Shape of an annular plate under a ring load of 1 N in all, for a rigidity of 1 N m.

    Parameters
    ----------
    radius : array_like
        Where the shape is wanted, m; from the clamp radius to the outer radius.
    load_radius : array_like
        Radius of the ring load, m; broadcast against `radius`.
    clamp_radius : float
        Inside this radius the plate is held flat and level, m.
    outer_radius : array_like
        Free rim, m; broadcast against `radius`.
    poisson : float
        Poisson's ratio, no unit.

    Returns
    -------
    PlateBend
        m, 1, 1/m per (N / N m).

    Source
    ------
    Derived from the plate equation (see the head of this file); held to Timoshenko & Woinowsky-Krieger, Table
    3, and Roark's *Formulas for Stress and Strain*, 7th ed., Table 11.2, case 1l.

    Examples
    --------
    >>> edge = ring_load_response(10e-3, 10e-3, 4e-3, 10e-3, 0.3)
    >>> round(float(edge.lift) / 0.06366758 * 1e6, 4)
    22.0123
    """
    r, s, outer = np.asarray(radius, float), np.asarray(load_radius, float), np.asarray(outer_radius, float)
    share = (
        _moment(_shear_step(outer, clamp_radius), outer, poisson)
        - _moment(_shear_step(outer, s), outer, poisson)
    ) / _moment(_level(outer, clamp_radius), outer, poisson)
    return _combined(
        (share, _level(r, clamp_radius)), (-1.0, _shear_step(r, clamp_radius)), (1.0, _shear_step(r, s))
    ).scaled(1.0 / (8.0 * np.pi))


def pressure_response(
    radius: ArrayLike,
    load_inner_radius: float,
    load_outer_radius: float,
    clamp_radius: float,
    outer_radius: ArrayLike,
    poisson: float,
) -> PlateBend:
    """Shape of an annular plate under 1 Pa between two radii, for a rigidity of 1 N m.

    Pressure inside the clamp radius or beyond the rim meets no free plate and does nothing.

    Parameters
    ----------
    radius : array_like
        Where the shape is wanted, m.
    load_inner_radius, load_outer_radius : float
        The pressed annulus, m.
    clamp_radius, outer_radius, poisson
        As for :func:`ring_load_response`.

    Returns
    -------
    PlateBend
        m, 1, 1/m per (Pa / N m).

    Source
    ------
    The ring load integrated in closed form; held to Timoshenko & Woinowsky-Krieger, Table 3, and Roark, 7th
    ed., Table 11.2, case 2l.

    Examples
    --------
    >>> rim = pressure_response(10e-3, 4e-3, 10e-3, 4e-3, 10e-3, 0.3)
    >>> round(float(rim.lift) * 1e5 / 0.06366758 * 1e6, 4)
    277.0024
    """
    r, outer = np.broadcast_arrays(np.asarray(radius, float), np.asarray(outer_radius, float))
    inner_edge = np.minimum(max(load_inner_radius, clamp_radius), outer)
    outer_edge = np.maximum(np.minimum(load_outer_radius, outer), inner_edge)
    area = (outer_edge**2 - inner_edge**2) / 2.0  # per radian
    at_rim = _combined((1.0, _pressure_from(outer, inner_edge)), (-1.0, _pressure_from(outer, outer_edge)))
    share = (
        area * _moment(_shear_step(outer, clamp_radius), outer, poisson) - _moment(at_rim, outer, poisson)
    ) / _moment(_level(outer, clamp_radius), outer, poisson)
    return _combined(
        (share, _level(r, clamp_radius)),
        (-area, _shear_step(r, clamp_radius)),
        (1.0, _pressure_from(r, inner_edge)),
        (-1.0, _pressure_from(r, outer_edge)),
    ).scaled(0.25)


def _level(r: Array, c: float) -> PlateBend:
    """h(r, c): shear-free, flat and level at c."""
    return PlateBend(
        r**2 - c**2 - 2.0 * c**2 * np.log(r / c), 2.0 * r - 2.0 * c**2 / r, 2.0 + 2.0 * c**2 / r**2
    )


def _shear_step(r: Array, s: Array | float) -> PlateBend:
    """f(r, s) beyond s, nothing inside it."""
    beyond = np.maximum(r, s)
    log = np.log(beyond / s)
    return PlateBend(
        (beyond**2 + s**2) * log - (beyond**2 - s**2),
        2.0 * beyond * log + s**2 / beyond - beyond,
        2.0 * log + 1.0 - s**2 / beyond**2,
    )


def _pressure_from(r: Array, a: Array | float) -> PlateBend:
    """Bend started by even pressure from radius a outwards: the integral of s f(r, s) from a to r."""
    beyond = np.maximum(r, a)
    log = np.log(beyond / a)
    return PlateBend(
        beyond**4 / 16.0
        - (beyond**2 * a**2 / 2.0 + a**4 / 4.0) * log
        + beyond**2 * a**2 / 4.0
        - 5.0 * a**4 / 16.0,
        beyond**3 / 4.0 - beyond * a**2 * log - a**4 / (4.0 * beyond),
        0.75 * beyond**2 - a**2 * (log + 1.0) + a**4 / (4.0 * beyond**2),
    )


def _moment(bend: PlateBend, r: Array, poisson: float) -> Array:
    """Radial moment of a shape per unit rigidity."""
    return np.asarray(bend.curvature + poisson * bend.slope / r)


def _combined(*parts: tuple[Array | float, PlateBend]) -> PlateBend:
    """The sum of some shapes, each taken so many times."""
    lift, slope, curvature = (
        np.asarray(sum(amount * getattr(bend, name) for amount, bend in parts))
        for name in ("lift", "slope", "curvature")
    )
    return PlateBend(lift, slope, curvature)
