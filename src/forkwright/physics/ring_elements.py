"""Ring elements of a disc: cubics for its lift ``w`` and its radial shift ``u`` between two nodes.

The eight unknowns of a ring are ``w, w', u, u'`` at its inner node, then at its outer node.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array

LIFT, SHIFT = [0, 1, 4, 5], [2, 3, 6, 7]
"""Places of the lift's unknowns and of the shift's among the eight of a ring."""


@dataclass(frozen=True)
class RingShapes:
    """What each of the eight unknowns of every ring (e) does at some points (q) of it.

    Attributes
    ----------
    radius : ndarray, shape (e, q)
        Of the points, m.
    tilt : ndarray, shape (e, q, 8)
        ``w'`` per unknown.
    bend, strain : ndarray, shape (e, q, 2, 8)
        ``w''`` and ``w'/r``, ``u'`` and ``u/r`` per unknown.
    """

    radius: Array
    tilt: Array
    bend: Array
    strain: Array

    @classmethod
    def at(cls, nodes: Array, points: Array) -> RingShapes:
        """Shapes between nodes (m) at points of every ring, -1 (inner end) to 1 (outer end)."""
        length = np.diff(nodes)[:, None]
        share = np.broadcast_to((1.0 + points) / 2.0, (len(length), len(points)))
        radius = nodes[:-1, None] + length * share
        value, slope, curvature = hermite(share, length)
        tilt = np.zeros((*share.shape, 8))
        tilt[..., LIFT] = slope
        bend, strain = np.zeros((*share.shape, 2, 8)), np.zeros((*share.shape, 2, 8))
        bend[..., 0, LIFT], bend[..., 1, LIFT] = curvature, slope / radius[..., None]
        strain[..., 0, SHIFT], strain[..., 1, SHIFT] = slope, value / radius[..., None]
        return cls(radius, tilt, bend, strain)


def hermite(share: Array, length: Array) -> tuple[Array, Array, Array]:
    """Value, first and second derivative of the four cubics of an element, each of shape (e, q, 4).

    Parameters
    ----------
    share : array, shape (e, q)
        Place in the element, as a share of its length from the inner end.
    length : array, shape (e, 1)
        Of the element, m.

    Returns
    -------
    value, slope, curvature : array
        For a unit of inner lift, inner slope, outer lift and outer slope in turn; m, 1, 1/m per unit.

    Notes
    -----
    Source: the cubic Hermite polynomials, any text on finite elements.
    """
    t = share
    value = [
        1 - 3 * t**2 + 2 * t**3,
        length * (t - 2 * t**2 + t**3),
        3 * t**2 - 2 * t**3,
        length * (t**3 - t**2),
    ]
    slope = [(6 * t**2 - 6 * t) / length, 1 - 4 * t + 3 * t**2, (6 * t - 6 * t**2) / length, 3 * t**2 - 2 * t]
    bend = [(12 * t - 6) / length**2, (6 * t - 4) / length, (6 - 12 * t) / length**2, (6 * t - 2) / length]
    return np.stack(value, axis=-1), np.stack(slope, axis=-1), np.stack(bend, axis=-1)
