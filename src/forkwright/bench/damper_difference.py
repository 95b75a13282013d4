"""Two dampers side by side: where they differ by more than the callipers can tell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from forkwright.bench.bands import Band
from forkwright.bench.damper_setup import checked_speeds
from forkwright.bench.damping import WORKSHOP_OIL
from forkwright.bench.damping_bands import damping_bands
from forkwright.hardware import Setting, Unit
from forkwright.physics.values import Array

COMPARED_SPEEDS = (-2.0, -1.0, -0.5, -0.2, -0.1, -0.05, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0)
"""Speeds at which two dampers are compared when none are given (m/s)."""


@dataclass(frozen=True)
class DamperDifference:
    """Two force bands over one set of speeds.

    Parameters
    ----------
    speed : ndarray, shape (n,)
        m/s.
    first, second : Band
        Of the force (N), arrays of shape (n,).
    apart : ndarray of bool, shape (n,)
        True where the bands do not touch: the difference is larger than the tolerances can explain.
    """

    speed: Array
    first: Band
    second: Band
    apart: NDArray[np.bool_]


def damper_difference(
    first: Unit,
    second: Unit,
    first_setting: Setting | None = None,
    second_setting: Setting | None = None,
    *,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    draws: int = 200,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
) -> DamperDifference:
    """Force bands of two dampers over the same speeds (m/s), and where they are apart.

    Oil temperature in K; the other parameters as in `damping_bands.damping_bands`.

    Parameters
    ----------
    first, second : Unit
    first_setting, second_setting : Setting, optional
        Each unit's own by default.
    oil_temperature : float
        K.
    speeds : array_like, optional
        m/s, compression positive.
    draws : int
        Number of dampers drawn from the tolerances of each.
    seed : int
        Of the draws.
    progress : callable, optional
        Told the share done; it may raise to cancel.

    Returns
    -------
    DamperDifference
        Forces in N, bands of the draws.
    """
    speed = checked_speeds(COMPARED_SPEEDS if speeds is None else speeds)
    halves = _halves(progress)
    bands = [
        damping_bands(
            unit, setting, oil_temperature, speed, draws=draws, seed=seed, fields=("force",), progress=half
        )["force"]
        for unit, setting, half in zip((first, second), (first_setting, second_setting), halves, strict=True)
    ]
    apart = (bands[0].low > bands[1].high) | (bands[1].low > bands[0].high)
    return DamperDifference(speed, bands[0], bands[1], apart)


def _halves(
    progress: Callable[[float], None] | None,
) -> tuple[Callable[[float], None] | None, Callable[[float], None] | None]:
    if progress is None:
        return None, None
    return (lambda share: progress(0.5 * share)), (lambda share: progress(0.5 + 0.5 * share))
