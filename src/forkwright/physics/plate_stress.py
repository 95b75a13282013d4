"""What a bend does to the steel of a disc: stresses at its faces, and the one that counts for yield."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from forkwright.physics.plates import PlateBend
from forkwright.physics.values import Array


def bending_stresses(
    radius: Array, bend: PlateBend, youngs_modulus: float, thickness: ArrayLike, poisson: float
) -> tuple[Array, Array]:
    """Radial and tangential bending stress at the face that meets the load (Pa; positive is tension there).

    Parameters
    ----------
    radius : ndarray
        m.
    bend : PlateBend
        Elastic shape, SI.
    youngs_modulus : float
        Pa.
    thickness : array_like
        m.
    poisson : float
        No unit.

    Returns
    -------
    radial, tangential : ndarray
        Pa. The other surface has the same size and the opposite sign.

    Source
    ------
    Timoshenko & Woinowsky-Krieger, 2nd ed., eqs (52)-(53) with sigma = 6 M / h^2 (from memory).

    Examples
    --------
    >>> from forkwright.physics.plates import ring_load_response
    >>> clamp = ring_load_response([4e-3], 10e-3, 4e-3, 10e-3, 0.3).scaled(1 / 0.06366758)
    >>> radial, tangential = bending_stresses(np.array([4e-3]), clamp, 206e9, 0.15e-3, 0.3)
    >>> round(float(tangential[0] / radial[0]), 6)
    0.3
    """
    factor = youngs_modulus * np.asarray(thickness, float) / (2.0 * (1.0 - poisson**2))
    hoop = bend.slope / radius
    return factor * (bend.curvature + poisson * hoop), factor * (hoop + poisson * bend.curvature)


def von_mises(radial: Array, tangential: Array) -> Array:
    """Von Mises stress (Pa) of two principal stresses (Pa) in a free surface.

    Parameters
    ----------
    radial, tangential : array
        Principal stresses, Pa; tension positive.

    Returns
    -------
    array
        Pa, not below zero.

    Source
    ------
    Any strength-of-materials text; plane stress, third principal stress zero.

    Examples
    --------
    >>> float(von_mises(np.array(2.0), np.array(2.0)))
    2.0
    """
    return np.asarray(np.sqrt(radial**2 + tangential**2 - radial * tangential))
