"""The stops at both ends of the travel, and coil springs."""

from __future__ import annotations

import numpy as np

from forkwright.physics.values import Array


def bottom_out_force(travel: Array, full_travel: Array | float, length: Array | float, rate: Array | float,
                     exponent: Array | float) -> tuple[Array, Array]:  # fmt: skip
    """Return force and rate of the bottom-out bumper.

    Parameters
    ----------
    travel : array
        Compression of the unit, m.
    full_travel, length : float or array
        Full travel and bumper length, m; the bumper is touched over the last `length` of travel.
    rate : float or array
        Bumper rate, N/m.
    exponent : float or array
        Shape, no unit: 1 linear, above 1 progressive.

    Returns
    -------
    force, rate : array
        N pushing towards extension, and N/m.

    Notes
    -----
    Own definition (published in the file format): ``F = rate * length * (c / length)**exponent`` at bumper
    compression ``c = travel - (full_travel - length)``, zero where c is not positive.
    """
    compression = travel - (full_travel - length)
    force, slope = np.zeros_like(compression), np.zeros_like(compression)
    touched = np.flatnonzero((compression > 0.0).reshape(-1, compression.shape[-1]).any(axis=0))
    if touched.size:  # powers cost far more than the rest, so they are taken only where the bumper is touched
        near = np.s_[..., touched[0] : touched[-1] + 1]
        share = np.maximum(compression[near], 0.0) / length
        force[near] = rate * length * share**exponent
        with np.errstate(divide="ignore"):
            slope[near] = np.where(share > 0.0, rate * exponent * share ** (exponent - 1.0), 0.0)
    return force, slope


def top_out_force(travel: Array, rate: Array | float) -> tuple[Array, Array]:
    """Return force and rate of the top-out stop, which acts beyond full extension (travel below zero).

    Parameters
    ----------
    travel : array
        Compression of the unit, m; negative beyond full extension.
    rate : float or array
        N/m.

    Returns
    -------
    force, rate : array
        N (negative: it pulls the unit back into its travel), and N/m.

    Notes
    -----
    Hooke's law on one side.
    """
    return rate * np.minimum(travel, 0.0), np.where(travel < 0.0, rate, 0.0)


def negative_coil_force(travel: Array, rate: Array | float, length: Array | float) -> tuple[Array, Array]:
    """Return force and rate of a coil that pushes the unit into its travel until `length` is used up.

    Parameters
    ----------
    travel : array
        Compression of the unit, m.
    rate, length : float or array
        N/m, and the travel over which the coil stays loaded, m.

    Returns
    -------
    force, rate : array
        N (negative or zero), and N/m.

    Notes
    -----
    Hooke's law on one side.
    """
    return -rate * np.maximum(length - travel, 0.0), np.where(travel < length, rate, 0.0)


def coil_force(travel: Array, rate: Array | float, preload: Array | float) -> tuple[Array, Array]:
    """Return force and rate of a coil main spring.

    Parameters
    ----------
    travel : array
        Compression of the unit, m.
    rate, preload : float or array
        N/m, and the compression at full extension, m.

    Returns
    -------
    force, rate : array
        N, N/m.

    Notes
    -----
    Hooke's law.
    """
    return rate * (travel + preload), rate + np.zeros_like(travel)
