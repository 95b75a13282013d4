"""A helical compression spring: rate from its wire, stress, and when it goes solid."""

from __future__ import annotations

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Value


def rate(wire: Value, mean_diameter: Value, active_turns: Value, shear_modulus: Value) -> Value:
    """Return the rate of a helical spring of round wire.

    Parameters
    ----------
    wire, mean_diameter : float or array
        Wire diameter and mean coil diameter, m.
    active_turns : float or array
        Turns that work (dimensionless).
    shear_modulus : float or array
        Pa.

    Returns
    -------
    float or array
        N/m: ``G d**4 / (8 D**3 n)`` (wire d, mean coil diameter D, turns n).

    Raises
    ------
    Unphysical
        If the wire is as thick as the coil.

    Notes
    -----
    Source: EN 13906-1, equation of the spring rate; Budynas & Nisbett, *Shigley's Mechanical Engineering
    Design*, eq. (10-9) (both from memory).

    Examples
    --------
    >>> round(rate(0.012, 0.048, 5.5, 78.5e9))
    334517
    """
    if np.any(np.asarray(wire) >= np.asarray(mean_diameter)):
        raise Unphysical("a spring's wire must be thinner than its coil")
    return shear_modulus * wire**4 / (8.0 * mean_diameter**3 * active_turns)


def wahl_factor(index: Value) -> Value:
    """Return the stress correction for the curvature of the wire.

    Parameters
    ----------
    index : float or array
        Mean coil diameter over wire diameter (dimensionless), above 1.

    Returns
    -------
    float or array
        ``(4 C - 1)/(4 C - 4) + 0.615/C`` (dimensionless).

    Notes
    -----
    Source: Wahl, *Mechanical Springs*, 1944 (from memory).
    """
    return (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index


def shear_stress(force: Value, wire: Value, mean_diameter: Value) -> Value:
    """Return the largest shear stress in the wire, curvature included.

    Parameters
    ----------
    force : float or array
        N.
    wire, mean_diameter : float or array
        m.

    Returns
    -------
    float or array
        Pa: ``K 8 F D / (pi d**3)`` with the Wahl factor K.

    Notes
    -----
    Source: Wahl, *Mechanical Springs*, 1944 (from memory).
    """
    return wahl_factor(mean_diameter / wire) * 8.0 * force * mean_diameter / (np.pi * wire**3)


def least_gaps(wire: Value, mean_diameter: Value, active_turns: Value) -> Value:
    """Return how much deflection a cold-coiled spring should keep before its turns touch.

    Parameters
    ----------
    wire, mean_diameter : float or array
        m.
    active_turns : float or array
        Turns that work (dimensionless).

    Returns
    -------
    float or array
        m: ``n (0.0015 D**2 / d + 0.1 d)``, which holds in any unit of length.

    Notes
    -----
    Source: EN 13906-1, least sum of the gaps between the turns of a cold-coiled spring, static load (from
    memory).
    """
    return active_turns * (0.0015 * mean_diameter**2 / wire + 0.1 * wire)


def solid_deflection(free_length: Value, wire: Value, total_turns: Value) -> Value:
    """Return how far a spring can be pressed until its turns touch.

    Parameters
    ----------
    free_length, wire : float or array
        m.
    total_turns : float or array
        Working and end turns (dimensionless).

    Returns
    -------
    float or array
        m: free length less total turns times wire diameter (ends closed and ground).

    Notes
    -----
    Source: geometry; closed and ground ends, as in Budynas & Nisbett, table 10-1 (from memory).
    """
    return free_length - wire * total_turns
