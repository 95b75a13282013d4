"""The linkage between wheel and shock: a monotone curve through measured points, and its forces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array, Value

_GRID = 401


@dataclass(frozen=True)
class Linkage:
    """Wheel travel against unit stroke, both from zero and rising, SI (m).

    Parameters
    ----------
    wheel, stroke : ndarray, shape (n,)
        Measured points, n at least 3.
    smoothing : float
        0 passes through every point (monotone cubic); above 0 the points are first smoothed by a penalised
        cubic spline with this weight of the bending penalty, m^3.

    Raises
    ------
    Unphysical
        If the points do not rise, do not start at zero, or the smoothed curve turns back.

    Notes
    -----
    Source: monotone cubic interpolation, Fritsch & Carlson 1980, as SciPy's `PchipInterpolator`; smoothing
    spline, de Boor, as SciPy's `make_smoothing_spline`. Forces by virtual work (derived):
    ``F_wheel dw = F_unit ds``.

    Examples
    --------
    >>> import numpy as np
    >>> link = Linkage(np.array([0.0, 0.05, 0.1]), np.array([0.0, 0.02, 0.04]))
    >>> round(float(link.ratio(np.array([0.05]))[0]), 6)
    2.5
    """

    wheel: Array
    stroke: Array
    smoothing: float = 0.0

    def __post_init__(self) -> None:
        """Refuse points that no linkage gives."""
        if self.wheel.shape != self.stroke.shape or self.wheel.size < 3:
            raise Unphysical("a leverage curve needs at least three points of wheel travel and stroke")
        if self.wheel[0] != 0.0 or self.stroke[0] != 0.0:
            raise Unphysical("a leverage curve starts at zero wheel travel and zero stroke")
        if np.any(np.diff(self.wheel) <= 0.0) or np.any(np.diff(self.stroke) <= 0.0):
            raise Unphysical("a leverage curve must rise from point to point in wheel travel and in stroke")
        fine = np.linspace(0.0, float(self.wheel[-1]), _GRID)
        if np.any(self._curve.derivative()(fine) <= 0.0):
            raise Unphysical("the smoothed leverage curve turns back: smooth it less, or measure more points")

    @cached_property
    def _curve(self) -> Any:
        from scipy.interpolate import PchipInterpolator, make_smoothing_spline

        stroke = self.stroke
        if self.smoothing > 0.0 and self.wheel.size >= 5:
            smooth = make_smoothing_spline(self.wheel, self.stroke, lam=self.smoothing)(self.wheel)
            stroke = np.asarray(smooth - smooth[0], np.float64)
            if np.any(np.diff(stroke) <= 0.0):
                raise Unphysical("the smoothed leverage curve turns back: smooth it less")
        return PchipInterpolator(self.wheel, stroke)

    @property
    def full_wheel(self) -> float:
        """Full wheel travel, m."""
        return float(self.wheel[-1])

    def stroke_at(self, wheel: Value) -> Array:
        """Return the unit's stroke (m) at wheel travels (m)."""
        return np.asarray(self._curve(np.clip(wheel, 0.0, self.full_wheel)), np.float64)

    def ratio(self, wheel: Value) -> Array:
        """Return the leverage ratio dw/ds (dimensionless, above 1 for most bikes) at wheel travels (m)."""
        slope = self._curve.derivative()(np.clip(wheel, 0.0, self.full_wheel))
        return np.asarray(1.0 / slope, np.float64)

    def wheel_at(self, stroke: Value) -> Array:
        """Return the wheel travel (m) at strokes (m), by interpolation on a fine grid."""
        fine = np.linspace(0.0, self.full_wheel, 20 * _GRID)
        return np.asarray(np.interp(stroke, self._curve(fine), fine), np.float64)

    def wheel_force(self, wheel: Value, unit_force: Value) -> Array:
        """Return the force at the wheel (N) that a force of the unit (N) gives at a wheel travel (m)."""
        return np.asarray(unit_force / self.ratio(wheel), np.float64)
