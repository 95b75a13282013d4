"""Friction of seals and bushings, from the loads on them."""

from __future__ import annotations

import numpy as np

from forkwright.physics.values import Value


def bushing_reactions(
    axle_force: Value, axle_to_lower: Value, spacing: Value, moment: Value = 0.0
) -> tuple[Value, Value]:
    """Return the loads on the lower and the upper bushing from a load at the axle.

    Parameters
    ----------
    axle_force : float or array
        Force on the axle normal to the leg axis, N.
    axle_to_lower, spacing : float or array
        Axle to lower bushing, and lower to upper bushing, m.
    moment : float or array
        Moment on the lowers, N m, of the same sense as that of `axle_force` about the lower bushing (a brake
        caliper on the lowers).

    Returns
    -------
    lower, upper : float or array
        Magnitudes carry the sign of the load; the two act in opposite directions, N.

    Notes
    -----
    Source: statics of an overhung beam on two supports, any mechanics handbook:
    ``P (L1 + b) / b`` and ``P L1 / b``.

    Examples
    --------
    >>> lower, upper = bushing_reactions(300.0, 0.180, 0.110)
    >>> round(lower, 3), round(upper, 3)
    (790.909, 490.909)
    """
    upper = (axle_force * axle_to_lower + moment) / spacing
    return axle_force + upper, upper


def seal_friction(unpressurised: Value, energised_area: Value, gauge_pressure: Value) -> Value:
    """Return the friction of a seal that its pressure presses on.

    Parameters
    ----------
    unpressurised : float or array
        Friction without pressure, from squeeze alone, N.
    energised_area : float or array
        Rise of friction with gauge pressure, m2 (coefficient times pressed area); 0 if it does not rise.
    gauge_pressure : float or array
        Pa; a pressure below ambient adds nothing.

    Returns
    -------
    float or array
        N, a magnitude.

    Notes
    -----
    Source: the two-term form of O-ring handbooks, squeeze friction plus pressure friction (common practice).
    """
    return unpressurised + energised_area * np.maximum(gauge_pressure, 0.0)


def bushing_friction(coefficient: Value, *loads: Value) -> Value:
    """Return the Coulomb friction of bushings: coefficient times the sum of the load magnitudes.

    Parameters
    ----------
    coefficient : float or array
        Coefficient of friction.
    *loads : float or array
        Normal loads, N.

    Returns
    -------
    float or array
        N, a magnitude.

    Notes
    -----
    Source: Coulomb's law of friction, any mechanics handbook.
    """
    return coefficient * sum(np.abs(load) for load in loads)
