"""The tyre's vertical spring: pressure decides its stiffness, and it never pulls."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array


def stiffness_from_points(
    gauge_pressure: float, points: Sequence[tuple[float, float]]
) -> tuple[float, str | None]:
    """Vertical stiffness of a tyre from measured (pressure, stiffness) points.

    Between points the stiffness is interpolated linearly; outside them the nearest pair is carried on and a
    warning names it. With one point alone the stiffness is taken as proportional to pressure.

    Parameters
    ----------
    gauge_pressure
        Gauge pressure in the tyre, Pa, above zero.
    points
        Pairs of gauge pressure (Pa) and stiffness (N/m), in any order.

    Returns
    -------
    Stiffness, N/m, and a warning or None.

    Raises
    ------
    Unphysical
        When no point is given, a value is not positive, two points stand at one pressure, or the result is
        not positive.

    Source
    ------
    Interpolation of the user's own measurements; no formula.

    Examples
    --------
    >>> stiffness_from_points(1.7e5, [(1.5e5, 7.0e4), (2.0e5, 8.5e4)])
    (76000.0, None)
    """
    table = sorted(points)
    if not table or min(min(pair) for pair in table) <= 0.0 or gauge_pressure <= 0.0:
        raise Unphysical("tyre: pressures and stiffnesses must be above zero, with at least one point")
    pressure = np.array([pair[0] for pair in table])
    if np.any(np.diff(pressure) <= 0.0):
        raise Unphysical("tyre: two stiffnesses are given for one pressure")
    stiffness = np.array([pair[1] for pair in table])
    if pressure.size == 1:
        warning = None
        if abs(gauge_pressure / pressure[0] - 1.0) > 0.02:
            warning = "tyre stiffness scaled with pressure from a single measured point"
        return float(stiffness[0] * gauge_pressure / pressure[0]), warning
    place = int(np.clip(np.searchsorted(pressure, gauge_pressure), 1, pressure.size - 1))
    slope = (stiffness[place] - stiffness[place - 1]) / (pressure[place] - pressure[place - 1])
    value = float(stiffness[place - 1] + slope * (gauge_pressure - pressure[place - 1]))
    if not value > 0.0:
        raise Unphysical("tyre: the measured points carried on give no positive stiffness at this pressure")
    outside = not pressure[0] <= gauge_pressure <= pressure[-1]
    return value, "tyre pressure lies outside the measured stiffness points" if outside else None


def inflated_ring_stiffness(gauge_pressure: float, wheel_radius: float, section_radius: float) -> float:
    """Upper estimate of a tyre's stiffness where nothing was measured.

    A plane that cuts a ring of section radius `r` and outer radius `R` by a small depth `d` cuts an ellipse
    of half axes ``sqrt(2 R d)`` and ``sqrt(2 r d)``, area ``2 pi d sqrt(R r)``. Were the patch that ellipse
    and its pressure the inflation pressure, the stiffness would be ``2 pi p sqrt(R r)``. A real casing bulges
    beside the patch, which makes the patch smaller; measured points are always better.

    Parameters
    ----------
    gauge_pressure
        Gauge pressure, Pa.
    wheel_radius
        Outer radius of the tyre, m.
    section_radius
        Half the tyre's width, m.

    Returns
    -------
    Stiffness, N/m.

    Source
    ------
    Geometry (derived); no measured tyre was in sight when this was written.

    Examples
    --------
    >>> round(inflated_ring_stiffness(1.7e5, 0.36, 0.03))
    111005
    """
    return 2.0 * np.pi * gauge_pressure * float(np.sqrt(wheel_radius * section_radius))


def contact_force(
    deflection: Array | float,
    deflection_speed: Array | float,
    stiffness: float,
    loss: float,
) -> Array:
    """Vertical force between tyre and ground, never below zero.

    ``N = k d (1 + beta dd/dt)`` while ``d > 0``: the loss grows with the deflection, so the force starts and
    ends at zero without a jump when the wheel lands or leaves the ground.

    Parameters
    ----------
    deflection
        Deflection, m, positive when pressed in.
    deflection_speed
        Its rate, m/s.
    stiffness
        k, N/m.
    loss
        beta, s/m; ``beta * k * d0`` is the viscous rate (N s/m) about a resting deflection d0.

    Returns
    -------
    Force, N, at least 0.

    Source
    ------
    Hunt and Crossley, "Coefficient of restitution interpreted as damping in vibroimpact", J. Applied
    Mechanics 42 (1975), with exponent 1 (from memory).

    Examples
    --------
    >>> contact_force(np.array([-0.01, 0.005]), np.array([0.0, 0.0]), 8e4, 0.2).tolist()
    [0.0, 400.0]
    """
    pressed = np.maximum(np.asarray(deflection, dtype=np.float64), 0.0)
    return np.maximum(stiffness * pressed * (1.0 + loss * np.asarray(deflection_speed)), 0.0)
