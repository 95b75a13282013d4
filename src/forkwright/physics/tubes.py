"""Tubes in bending: the stanchions between crown and bushings, with the lowers as a stiff lever on them."""

from __future__ import annotations

import numpy as np

from forkwright.physics.values import Value


def second_moment(outer_diameter: Value, inner_diameter: Value) -> Value:
    """Return the second moment of area of a round tube about a diameter.

    Parameters
    ----------
    outer_diameter, inner_diameter : float or array
        m.

    Returns
    -------
    float or array
        m4: ``pi/64 (D**4 - d**4)``.

    Notes
    -----
    Source: any handbook of mechanics.

    Examples
    --------
    >>> round(second_moment(36.0, 32.0), 1)
    30976.1
    """
    return np.pi / 64.0 * (outer_diameter**4 - inner_diameter**4)


def cantilever_deflection(force: Value, force_at: Value, at: Value, flexural_rigidity: Value) -> Value:
    """Return the deflection of a cantilever under one transverse force.

    Parameters
    ----------
    force : float or array
        N.
    force_at, at : float or array
        Distances of the force and of the point looked at from the clamp, m.
    flexural_rigidity : float or array
        E I, N m2.

    Returns
    -------
    float or array
        m, in the direction of the force.

    Notes
    -----
    Source: Euler-Bernoulli cantilever, any handbook: ``F s**2 (3 a - s) / (6 E I)`` with s the nearer and a
    the further of the two distances from the clamp.
    """
    near, far = np.minimum(force_at, at), np.maximum(force_at, at)
    return force * near**2 * (3.0 * far - near) / (6.0 * flexural_rigidity)


def axle_compliance(
    crown_to_upper: Value, spacing: Value, axle_to_lower: Value, flexural_rigidity: Value
) -> Value:
    """Return the sideways movement of the axle per newton on one leg.

    Parameters
    ----------
    crown_to_upper : float or array
        Free stanchion length from the crown to the upper bushing, m.
    spacing, axle_to_lower : float or array
        Lower to upper bushing, and axle to lower bushing, m.
    flexural_rigidity : float or array
        E I of the stanchion, N m2.

    Returns
    -------
    float or array
        m/N. The lowers are taken as stiff, the bushings as pivots without play.

    Notes
    -----
    Source: two-point loading of an Euler-Bernoulli cantilever through a rigid lever (derived).
    """
    upper_at, lower_at = crown_to_upper, crown_to_upper + spacing
    on_lower, on_upper = (axle_to_lower + spacing) / spacing, -axle_to_lower / spacing
    lower = cantilever_deflection(on_lower, lower_at, lower_at, flexural_rigidity) + cantilever_deflection(
        on_upper, upper_at, lower_at, flexural_rigidity
    )
    upper = cantilever_deflection(on_lower, lower_at, upper_at, flexural_rigidity) + cantilever_deflection(
        on_upper, upper_at, upper_at, flexural_rigidity
    )
    return lower + (lower - upper) * axle_to_lower / spacing
