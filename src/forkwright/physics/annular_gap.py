"""The ring gap between a bore and a rod in it: laminar flow per pressure drop. SI throughout."""

from __future__ import annotations

import math

import numpy as np

from forkwright.physics.errors import Unphysical


def thin_annulus_conductance(
    diameter: float, gap: float, length: float, dynamic_viscosity: float, eccentricity: float = 0.0
) -> float:
    """Laminar flow per pressure drop of a thin annular gap (m3/s/Pa).

    Parameters
    ----------
    diameter : float
        Mean diameter of the gap (m).
    gap : float
        Mean radial clearance (m), small against the diameter.
    length : float
        Along the flow (m).
    dynamic_viscosity : float
        Of the oil (Pa s).
    eccentricity : float
        Offset as a share of the gap, 0 (concentric) to 1 (touching).

    Returns
    -------
    float
        m3/s/Pa.

    Notes
    -----
    ``Q = pi d c^3 dp / (12 mu L) (1 + 1.5 e^2)``: any fluid-power handbook.

    Examples
    --------
    >>> touching = thin_annulus_conductance(8e-3, 25e-6, 10e-3, 0.0138, 1.0)
    >>> touching / thin_annulus_conductance(8e-3, 25e-6, 10e-3, 0.0138)
    2.5
    """
    flow = math.pi * diameter * gap**3 / (12.0 * dynamic_viscosity * length)
    return flow * (1.0 + 1.5 * eccentricity**2)


def annulus_conductance(
    outer_radius: float, inner_radius: float, length: float, dynamic_viscosity: float, offset: float = 0.0
) -> float:
    """Laminar flow per pressure drop of an annulus of any gap (m3/s/Pa), exact: what the thin one is held to.

    Parameters
    ----------
    outer_radius, inner_radius : float
        Of the bore and of the rod in it (m).
    length : float
        Along the flow (m).
    dynamic_viscosity : float
        Of the oil (Pa s).
    offset : float
        Distance between the two axes (m), below the difference of the radii.

    Returns
    -------
    float
        m3/s/Pa.

    Raises
    ------
    Unphysical
        If the rod does not fit into the bore at that offset.

    Notes
    -----
    Concentric: Bird, Stewart & Lightfoot, *Transport Phenomena*, 2.4. Eccentric: Piercy, Hooper & Winny,
    *Philosophical Magazine* 15, 1933 (both from memory; the tests solve the same flow by finite elements).

    Examples
    --------
    >>> round(annulus_conductance(4e-3, 3.9e-3, 10e-3, 0.0138) * 10e5 * 1e6, 4)
    14.9872
    """
    if not 0.0 < inner_radius < outer_radius or not 0.0 <= offset < outer_radius - inner_radius:
        raise Unphysical("the rod must fit into the bore at that offset")
    outer, inner = outer_radius, inner_radius
    near = 0.05 * (outer - inner)  # below this the exact series loses its digits; the flow is even in e
    if offset < near:
        centred = outer**4 - inner**4 - (outer**2 - inner**2) ** 2 / math.log(outer / inner)
        shape = centred + (_eccentric_shape(outer, inner, near) - centred) * (offset / near) ** 2
    else:
        shape = _eccentric_shape(outer, inner, offset)
    return math.pi / (8.0 * dynamic_viscosity * length) * shape


def _eccentric_shape(outer: float, inner: float, offset: float) -> float:
    """The bracket of Piercy, Hooper & Winny (m4), summed until the terms no longer count."""
    centre = (outer**2 - inner**2 + offset**2) / (2.0 * offset)
    focus = math.sqrt(centre**2 - outer**2)
    alpha = 0.5 * math.log((centre + focus) / (centre - focus))
    beta = 0.5 * math.log((centre - offset + focus) / (centre - offset - focus))
    spread = beta - alpha
    terms = 2 + math.ceil(20.0 / spread) if spread > 0 else 2
    n = np.arange(1.0, min(terms, 2_000_000) + 1.0)
    # n exp(-n (alpha + beta)) / sinh(n spread), written so that nothing overflows
    series = np.sum(2.0 * n * np.exp(-2.0 * n * beta) / -np.expm1(-2.0 * n * spread))
    m2 = focus**2
    return outer**4 - inner**4 - 4.0 * offset**2 * m2 / spread - 8.0 * offset**2 * m2 * float(series)
