"""A disc that is dished when free: its shape, and its bend, once the clamp holds it flat and level."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from forkwright.physics.plates import PlateBend
from forkwright.physics.values import Array


def cone_response(
    radius: ArrayLike, clamp_radius: float, outer_radius: float, poisson: float
) -> tuple[Array, PlateBend]:
    """Return the shape of a coned disc once its clamp is squeezed flat and level; its rim stands off by 1 m.

    The free disc is a cone of even slope. Squeezing the clamp flat bends it by a shear-free shape
    ``B r^2 + C ln r`` with no moment at the rim. What remains at the rim is scaled to one metre, because that
    is what can be measured: hold the disc on a flat clamp, read how far its rim stands off.

    Parameters
    ----------
    radius : array_like
        m, from the clamp radius to the outer radius.
    clamp_radius, outer_radius : float
        m.
    poisson : float
        No unit.

    Returns
    -------
    height : ndarray
        Height of the clamped, unloaded disc above the clamp plane per metre of rim stand-off, no unit.
    bend : PlateBend
        The elastic part of that shape (what stresses the disc), per metre of rim stand-off.

    Source
    ------
    Derived; the bend is the shear-free solution of the plate equation.

    Examples
    --------
    >>> height, bend = cone_response([4e-3, 10e-3], 4e-3, 10e-3, 0.3)
    >>> [round(float(h), 12) for h in height], round(float(bend.slope[0]) * 1e-3, 3)
    ([0.0, 1.0], -0.558)
    """
    r = np.asarray(radius, float)
    c, outer = clamp_radius, outer_radius
    squareness = (1.0 - poisson) / (2.0 * (1.0 + poisson) * outer**2)

    def flattening(at: Array) -> PlateBend:
        amount = -1.0 / (2.0 * squareness * c + 1.0 / c)  # takes the unit slope of the cone off at the clamp
        return PlateBend(
            amount * (squareness * (at**2 - c**2) + np.log(at / c)),
            amount * (2.0 * squareness * at + 1.0 / at),
            amount * (2.0 * squareness - 1.0 / at**2),
        )

    rim = float(outer - c + flattening(np.asarray(outer)).lift)
    bend = flattening(r).scaled(1.0 / rim)
    return np.asarray((r - c) / rim + bend.lift), bend
