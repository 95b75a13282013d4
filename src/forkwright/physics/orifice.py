"""Holes and slits: how much oil passes at a pressure drop, and the drop at a flow.

Every hole or slit obeys ``dp = square * Q^2 + linear * Q``. The square part is the sharp-edged turbulent
orifice, the linear part the exact creeping-flow solution of the same opening plus the wall friction of its
length; so both limits are exact and one smooth monotone law joins them at the flow number where they are
equal. SI throughout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array

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
    density, dynamic_viscosity, discharge
        As for `round_holes`.

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
