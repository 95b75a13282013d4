"""Needles: the opening that a cone leaves in its seat, from sizes and lift. SI throughout."""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.physics.errors import Unphysical


@dataclass(frozen=True)
class NeedleOpening:
    """What a needle leaves open.

    Parameters
    ----------
    area : float
        Smallest clear area (m2).
    height : float
        Clear height of the ring-shaped opening (m); the bore's radius once the bore itself is the limit.
    wide_open : bool
        True when the bore, not the needle, is the narrowest place.
    """

    area: float
    height: float
    wide_open: bool


def needle_opening(bore: float, half_angle: float, lift: float) -> NeedleOpening:
    """Smallest area between a conical needle and the sharp edge of its bore.

    Parameters
    ----------
    bore : float
        Diameter of the bore that the cone closes (m).
    half_angle : float
        Between the needle's axis and its flank (rad), above 0 and below pi/2.
    lift : float
        Withdrawn from closed (m), not below zero.

    Returns
    -------
    NeedleOpening
        Area (m2), clear height (m) and whether the cone has left the bore.

    Raises
    ------
    Unphysical
        If the lift is below zero or the angle is out of range: such a needle cannot exist.

    Notes
    -----
    The opening is the frustum spanned by the shortest line from the edge to the flank:
    ``A = pi x sin(a) (d - x sin(a) cos(a))``, a statement of geometry found in any fluid-power handbook
    (conical poppet with a sharp seat); it never exceeds the bore itself.

    Examples
    --------
    >>> opening = needle_opening(3e-3, math.radians(15), 0.5e-3)
    >>> round(opening.area * 1e6, 4)
    1.1688
    """
    if lift < 0.0:
        raise Unphysical("a needle cannot go below its closed position")
    if not 0.0 < half_angle < math.pi / 2:
        raise Unphysical("the needle's half angle must lie between 0 and 90 degrees")
    full = math.pi / 4.0 * bore**2
    reach = bore / (2.0 * math.sin(half_angle) * math.cos(half_angle))  # the line ends on the tip
    if lift >= reach:
        return NeedleOpening(full, bore / 2.0, wide_open=True)
    height = lift * math.sin(half_angle)
    area = math.pi * height * (bore - height * math.cos(half_angle))
    if area >= full:
        return NeedleOpening(full, bore / 2.0, wide_open=True)
    return NeedleOpening(area, height, wide_open=False)
