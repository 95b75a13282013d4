"""Holes, slits and annular gaps: how much oil passes at a pressure drop, and the drop at a flow.

Every hole or slit obeys ``dp = square * Q^2 + linear * Q``. The square part is the sharp-edged turbulent
orifice, the linear part the exact creeping-flow solution of the same opening plus the wall friction of its
length; so both limits are exact and one smooth monotone law joins them at the flow number where they are
equal. SI throughout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SLOT_DISCHARGE = math.pi / (math.pi + 2.0)
"""Contraction of a free jet from a sharp slot at high flow number: exact, Kirchhoff's free streamline."""

ROUND_DISCHARGE = 0.61
"""Sharp round hole at high flow number (Encyclopaedia Britannica, 11th ed., "Hydraulics": 0.60-0.62)."""


@dataclass(frozen=True)
class Passage:
    """A hole or slit with the oil in it: ``dp = square * Q^2 + linear * Q``.

    Parameters
    ----------
    square : float or array
        Turbulent part (Pa s2/m6).
    linear : float or array
        Laminar part (Pa s/m3).
    """

    square: float
    linear: float

    def drop(self, flow: Array) -> Array:
        """Pressure drop (Pa) at a flow (m3/s), both of one sign."""
        return (self.square * np.abs(flow) + self.linear) * flow

    def flow(self, drop: Array) -> Array:
        """Flow (m3/s) at a pressure drop (Pa), both of one sign."""
        return 2.0 * drop / (self.linear + self.root(drop) + 1e-300)

    def root(self, drop: Array) -> Array:
        """``sqrt(linear^2 + 4 square |dp|)``: one over the slope of flow per drop (Pa s/m3)."""
        return np.sqrt(self.linear**2 + 4.0 * self.square * np.abs(drop))


def round_holes(
    diameter: float,
    count: float,
    density: float,
    dynamic_viscosity: float,
    *,
    length: float = 0.0,
    discharge: float = ROUND_DISCHARGE,
) -> Passage:
    """Equal round holes side by side.

    Parameters
    ----------
    diameter : float
        Of each hole (m), above zero.
    count : float
        Number of holes.
    density, dynamic_viscosity : float
        Of the oil (kg/m3, Pa s).
    length : float
        Of each hole (m); 0 for a thin plate.
    discharge : float
        Coefficient Cd of the turbulent limit.

    Returns
    -------
    Passage

    Notes
    -----
    Turbulent limit ``Q = Cd A sqrt(2 dp / rho)``. Creeping limit ``dp = mu Q / R^3 (3 + 8 L / (pi R))``:
    Sampson's exact solution for a hole in a thin wall plus Poiseuille flow along it, the sum of Dagan,
    Weinbaum & Pfeffer, *J. Fluid Mech.* 115, 1982 (from memory). Wuest's often quoted creeping limit
    for the round hole, ``Cd = sqrt(Re / 25.2)``, passes 1.5 times as much; Sampson's is ``sqrt(Re /
    (12 pi))``. They differ only below flow numbers of about 40.

    Examples
    --------
    >>> hole = round_holes(1.5e-3, 1, 860.0, 0.0, discharge=SLOT_DISCHARGE)
    >>> round(float(hole.flow(10e5)) * 1e6, 3)
    52.07
    """
    radius = 0.5 * diameter
    area = math.pi * radius**2
    square = 0.5 * density / (discharge * area * count) ** 2
    linear = dynamic_viscosity / radius**3 * (3.0 + 8.0 * length / (math.pi * radius)) / count
    return Passage(square, linear)


def slit(
    height: float,
    width: float,
    density: float,
    dynamic_viscosity: float,
    *,
    discharge: float = SLOT_DISCHARGE,
) -> Passage:
    """A sharp slit of small height and great width.

    Parameters
    ----------
    height, width : float
        Clear height and width (m), both above zero.
    density, dynamic_viscosity : float
        Of the oil (kg/m3, Pa s).
    discharge : float
        Coefficient Cd of the turbulent limit.

    Returns
    -------
    Passage

    Notes
    -----
    Creeping limit ``Q = pi h^2 w dp / (32 mu)``, that is ``Cd = sqrt(pi Re / 128)`` with the flow number
    on twice the height: Wuest, *Ingenieur-Archiv* 22, 1954 (from memory; equal to Hasimoto's exact
    solution of 1958).

    Examples
    --------
    >>> gap = slit(0.1e-3, 30e-3, 860.0, 0.0138)
    >>> bool(gap.flow(1e5) < SLOT_DISCHARGE * 3e-6 * (2e5 / 860.0) ** 0.5)
    True
    """
    square = 0.5 * density / (discharge * height * width) ** 2
    linear = 32.0 * dynamic_viscosity / (math.pi * height**2 * width)
    return Passage(square, linear)


def discharge_at(passage: Passage, flow: Array, area: float, density: float) -> Array:
    """Return the coefficient Cd that the orifice equation would need at a flow (m3/s): dimensionless.

    Parameters
    ----------
    passage : Passage
        The opening.
    flow : array
        m3/s, not zero.
    area : float
        The area that the coefficient refers to, m2.
    density : float
        Of the oil, kg/m3.

    Returns
    -------
    array
        No unit.

    Notes
    -----
    Source: the orifice equation ``Q = Cd A sqrt(2 dp / rho)`` solved for Cd, any fluid-power handbook.
    """
    flow = np.asarray(flow, float)
    return flow / (area * np.sqrt(2.0 * passage.drop(flow) / density))


def flow_number(flow: ArrayLike, area: float, hydraulic_diameter: float, kinematic_viscosity: float) -> Array:
    """Reynolds number of the mean velocity in an opening; flow in m3/s, sizes in m2 and m, m2/s.

    Parameters
    ----------
    flow : array_like
        m3/s.
    area : float
        m2.
    hydraulic_diameter : float
        Four areas over the wetted edge, m.
    kinematic_viscosity : float
        m2/s.

    Returns
    -------
    array
        Reynolds number; no unit.

    Notes
    -----
    Source: definition, ``Re = u D_h / nu`` (any fluid-mechanics text).
    """
    return np.asarray(flow, float) / area * hydraulic_diameter / kinematic_viscosity


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
    """Laminar flow per pressure drop of an annulus of any gap (m3/s/Pa), exact.

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
    ValueError
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
        raise ValueError("the rod must fit into the bore at that offset")
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
