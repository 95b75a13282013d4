"""What an oil's label says: the viscosity index, from two viscosities and back to the second one.

Kinematic viscosities in m2/s.
"""

from __future__ import annotations

import numpy as np

from forkwright.physics.constants import CENTISTOKE
from forkwright.physics.errors import Unphysical

_THINNEST, _THICKEST = 2.0, 15.0  # cSt at 100 degrees C: the part of the standard kept here


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
    Unphysical
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
    Unphysical
        If no viscosity between 2 and 15 cSt at 100 degrees C has that index.

    Notes
    -----
    Inverts `viscosity_index` (ASTM D2270) by bisection; the index rises with the viscosity at 100.

    Examples
    --------
    >>> round(viscosity_from_index(22.83e-6, 156.0) * 1e6, 2)
    5.04
    """
    thin, thick = _THINNEST * CENTISTOKE, min(_THICKEST * CENTISTOKE, 0.999 * viscosity_at_40)
    if thick <= thin or not (
        viscosity_index(viscosity_at_40, thin) <= index <= viscosity_index(viscosity_at_40, thick)
    ):
        raise Unphysical("no oil between 2 and 15 cSt at 100 °C has this viscosity at 40 °C and this index")
    for _ in range(80):
        middle = 0.5 * (thin + thick)
        if viscosity_index(viscosity_at_40, middle) < index:
            thin = middle
        else:
            thick = middle
    return 0.5 * (thin + thick)


def _index_limits(viscosity_at_100: float) -> tuple[float, float]:
    """L and H of ASTM D2270 (cSt) for a viscosity at 100 degrees C in cSt."""
    if not _THINNEST <= viscosity_at_100 <= _THICKEST:
        raise Unphysical("the viscosity index is kept here for 2 to 15 cSt at 100 °C")
    y = viscosity_at_100
    for upper, (a, b, c), (d, e, f) in _INDEX_PIECES:
        if y <= upper:
            return a * y * y + b * y + c, d * y * y + e * y + f
    raise AssertionError("unreachable: the last piece ends at the range's end")


_INDEX_PIECES = (
    # ASTM D2270, table of the piecewise quadratics (from memory; held to its worked examples by the tests):
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
