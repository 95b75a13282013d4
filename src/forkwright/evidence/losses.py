"""Losses: how much a sample that lies far off may pull. Plain squares, and two that resist outliers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from forkwright.physics.values import Array

_NORMAL_QUARTILE = 0.6744897501960817  # median |u| of a standard normal variable
HUBER = 1.345  # both tunings give 95 % efficiency on normal scatter
BISQUARE = 4.685


@dataclass(frozen=True)
class Loss:
    """One loss, by its weight ``w(u) = psi(u)/u`` and ``psi'(u)``, u in standard deviations.

    Parameters
    ----------
    name : str
        As chosen by the user.
    weight, slope : callable
        ``w(u)`` and ``psi'(u)``, plain numbers.
    plain : bool
        True for least squares, where nothing needs repeating.

    Notes
    -----
    Source: Huber, *Robust Statistics*, 1981, and Beaton & Tukey, *Technometrics* 16, 1974 (from memory);
    held against statsmodels' RLM.
    """

    name: str
    weight: Callable[[Array], Array]
    slope: Callable[[Array], Array]
    plain: bool = False

    def scale(self, residual: Array, used: float) -> float:
        """Return the standard deviation of a sample, in the residual's unit.

        Root mean square over the degrees of freedom for the plain loss, median absolute residual over 0.6745
        for the others.
        """
        if self.plain:
            return math.sqrt(float(residual @ residual) / max(residual.size - used, 1.0)) or 1e-300
        return float(np.median(np.abs(residual))) / _NORMAL_QUARTILE or 1e-300

    def variance(self, u: Array, used: float) -> float:
        """Return the variance of one sample that the covariance needs, over the scale squared.

        ``k^2 [sum psi^2/(n - p)] / mean(psi')^2`` with ``k = 1 + p/n var(psi')/mean(psi')^2``.
        """
        if self.plain:
            return 1.0
        psi = self.weight(u) * u
        slope = self.slope(u)
        mean = max(float(slope.mean()), 1e-3)
        k = 1.0 + used / u.size * float(slope.var()) / mean**2
        return k**2 * float(psi @ psi) / max(u.size - used, 1.0) / mean**2


def _huber_weight(u: Array) -> Array:
    return np.asarray(np.minimum(1.0, HUBER / np.maximum(np.abs(u), 1e-300)), dtype=np.float64)


def _bisquare_weight(u: Array) -> Array:
    inside = np.clip(1.0 - (u / BISQUARE) ** 2, 0.0, None)
    return np.asarray(inside**2, dtype=np.float64)


def _bisquare_slope(u: Array) -> Array:
    share = (u / BISQUARE) ** 2
    return np.where(share < 1.0, (1.0 - share) * (1.0 - 5.0 * share), 0.0)


LOSSES: dict[str, Loss] = {
    "plain": Loss("plain", np.ones_like, np.ones_like, plain=True),
    "huber": Loss("huber", _huber_weight, lambda u: (np.abs(u) <= HUBER).astype(np.float64)),
    "bisquare": Loss("bisquare", _bisquare_weight, _bisquare_slope),
}
