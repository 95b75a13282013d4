"""What is to be found and from what: parameters with their tolerances, and the fit in scaled numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.losses import LOSSES, Loss
from forkwright.physics.values import Array
from forkwright.units import InputError

Predict = Callable[[Array], Array]


@dataclass(frozen=True)
class Parameter:
    """One number to find.

    Parameters
    ----------
    name : str
        For a unit the dotted path, for example "air_spring.bore".
    start : float
        First guess, SI; with a tolerance also the middle of what the callipers allow.
    tolerance : float
        One standard deviation of what is already known, same unit as `start`; 0 when nothing is known.
    low, high : float
        Values outside are not tried, same unit as `start`.
    dimension : str
        Kind of quantity, for words.
    size : float
        How far it may plausibly move, same unit as `start`; 0 takes the tolerance, or `start` itself.
    """

    name: str
    start: float
    tolerance: float = 0.0
    low: float = -math.inf
    high: float = math.inf
    dimension: str = "dimensionless"
    size: float = 0.0


@dataclass(frozen=True)
class Problem:
    """The fit in scaled numbers: every parameter is start + size * z.

    Parameters
    ----------
    predict, measured, parameters, spread, loss
        As given to `fitting.fit_curve`.
    start, size : ndarray, shape (p,)
        SI; where z is zero, and one unit of z.
    pull : ndarray, shape (p,)
        size/tolerance, the tolerance's residual per unit of z; 0 without a tolerance (plain number).
    """

    predict: Predict
    measured: Array
    parameters: tuple[Parameter, ...]
    spread: Array
    loss: Loss
    start: Array
    size: Array
    pull: Array

    @classmethod
    def of(
        cls,
        predict: Predict,
        measured: Array,
        parameters: Sequence[Parameter],
        spread: Array | None,
        loss: str,
    ) -> Problem:
        """Set the problem up and refuse what cannot be fitted."""
        measured = np.asarray(measured, dtype=np.float64)
        if loss not in LOSSES:
            raise InputError("unknown loss", value=loss, allowed=", ".join(LOSSES))
        if not np.isfinite(measured).all():
            raise InputError("the measurement holds values that are not numbers")
        free = sum(1 for p in parameters if not p.tolerance)
        if measured.size <= max(free, 2) or not parameters:
            raise InputError(
                "too few samples for this many parameters",
                value=f"{measured.size} samples, {len(parameters)} parameters",
            )
        size = np.array([p.tolerance or p.size or abs(p.start) or 1.0 for p in parameters])
        pull = np.array(
            [s / p.tolerance if p.tolerance else 0.0 for s, p in zip(size, parameters, strict=True)]
        )
        start = np.array([p.start for p in parameters])
        spread = np.ones_like(measured) if spread is None else np.asarray(spread, dtype=np.float64)
        return cls(predict, measured, tuple(parameters), spread, LOSSES[loss], start, size, pull)

    def values(self, z: Array) -> Array:
        """Return the parameters, SI."""
        return self.start + self.size * z

    def residual(self, z: Array) -> Array:
        """Measured less predicted, over the relative spread."""
        predicted = np.asarray(self.predict(self.values(z)), dtype=np.float64)
        return np.asarray((self.measured - predicted) / self.spread, dtype=np.float64)

    def ends(self) -> tuple[Array, Array]:
        """Return the lowest and highest z that the parameters' limits allow."""
        low = np.array([(p.low - p.start) / s for p, s in zip(self.parameters, self.size, strict=True)])
        high = np.array([(p.high - p.start) / s for p, s in zip(self.parameters, self.size, strict=True)])
        return low, high

    def jacobian(self, z: Array) -> Array:
        """Change of the residual with each z, by central differences, shape (n, p)."""
        low, high = self.ends()
        columns = []
        for i in range(z.size):
            known_size = self.parameters[i].tolerance or self.parameters[i].size
            least = 1.0 if known_size else 1e-3 * max(1.0, abs(z[i]))
            h = 6e-6 * max(abs(z[i] + self.start[i] / self.size[i]), least)
            up, down = z.copy(), z.copy()
            up[i], down[i] = min(z[i] + h, high[i]), max(z[i] - h, low[i])
            columns.append((self.residual(up) - self.residual(down)) / (up[i] - down[i]))
        return np.column_stack(columns)
