"""The linkage between wheel and shock: a rising curve through measured points, and its forces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array, Value

_GRID = 401
_LEAST_TO_SMOOTH = 5

SMOOTH, MONOTONE, STRAIGHT = "cubic spline", "monotone cubic", "straight lines"
SMOOTHED = "smoothing spline"


@dataclass(frozen=True)
class Linkage:
    """Wheel travel against unit stroke, both from zero and rising, SI (m).

    Parameters
    ----------
    wheel, stroke : ndarray, shape (n,)
        Measured points, n at least 3.
    smoothing : float
        Waves of the measured stroke shorter than this much wheel travel (m) are taken for reading errors: a
        wave of this length is halved, shorter ones vanish. 0 passes through every point.

    Raises
    ------
    Unphysical
        If the points do not rise, do not start at zero, are too few to be smoothed, or the smoothed curve
        turns back.

    Notes
    -----
    Source: without smoothing, a cubic spline (not-a-knot), whose rate of change is smooth, where it rises
    everywhere; else the monotone cubic of Fritsch & Carlson 1980 (SciPy's `PchipInterpolator`), which never
    turns back; where the points kink so sharply that even that stands still, straight lines. With
    smoothing, the spline that minimises ``sum (y - f)**2 + q integral f''**2`` (de Boor, *A
    Practical Guide to Splines*, ch. XIV; SciPy's `make_smoothing_spline`). At points h apart it keeps
    ``1 / (1 + q h k**4)`` of a wave of wave number k (derived): ``q = (L / (2 pi))**4 / h`` halves length L.
    Forces by virtual work (derived): ``F_wheel dw = F_unit ds``.

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
        if self.wheel.shape != self.stroke.shape or self.wheel.ndim != 1 or self.wheel.size < 3:
            raise Unphysical("a leverage curve needs at least three points of wheel travel and stroke")
        if not (np.all(np.isfinite(self.wheel)) and np.all(np.isfinite(self.stroke))):
            raise Unphysical("a leverage curve must hold finite numbers")
        if self.wheel[0] != 0.0 or self.stroke[0] != 0.0:
            raise Unphysical("a leverage curve starts at zero wheel travel and zero stroke")
        if np.any(np.diff(self.wheel) <= 0.0) or np.any(np.diff(self.stroke) <= 0.0):
            raise Unphysical("a leverage curve must rise from point to point in wheel travel and in stroke")
        if self.smoothing > 0.0 and self.wheel.size < _LEAST_TO_SMOOTH:
            raise Unphysical(f"smoothing a leverage curve needs at least {_LEAST_TO_SMOOTH} points")
        if not _rises(self._curve, self.full_wheel):
            raise Unphysical("the smoothed leverage curve turns back: smooth it less, or measure it again")

    @property
    def method(self) -> str:
        """How the points are joined: see the notes."""
        return self._fitted[1]

    @property
    def full_wheel(self) -> float:
        """Full wheel travel, m."""
        return float(self.wheel[-1])

    @property
    def full_stroke(self) -> float:
        """Stroke at full wheel travel, m."""
        return float(self._curve(self.full_wheel))

    def stroke_at(self, wheel: Value) -> Array:
        """Return the unit's stroke (m) at wheel travels (m); beyond the ends, that of the end."""
        return np.asarray(self._curve(self._within(wheel)), np.float64)

    def motion_ratio(self, wheel: Value) -> Array:
        """Return ds/dw, the stroke per wheel travel (dimensionless), at wheel travels (m)."""
        return np.asarray(self._curve.derivative()(self._within(wheel)), np.float64)

    def ratio(self, wheel: Value) -> Array:
        """Return the leverage ratio dw/ds (dimensionless, above 1 for most bikes) at wheel travels (m)."""
        return 1.0 / self.motion_ratio(wheel)

    def bend(self, wheel: Value) -> Array:
        """Return d2s/dw2, 1/m, at wheel travels (m); above zero the leverage ratio falls: progressive."""
        return np.asarray(self._curve.derivative(2)(self._within(wheel)), np.float64)

    def wheel_at(self, stroke: Value) -> Array:
        """Return the wheel travel (m) at strokes (m), by interpolation on a fine grid."""
        fine, strokes = self._inverse
        return np.asarray(np.interp(stroke, strokes, fine), np.float64)

    def wheel_force(self, wheel: Value, unit_force: Value) -> Array:
        """Return the force at the wheel (N) that a force of the unit (N) gives at wheel travels (m)."""
        return np.asarray(unit_force * self.motion_ratio(wheel), np.float64)

    def wheel_rate(self, wheel: Value, unit_force: Value, unit_rate: Value) -> Array:
        """Return the rate at the wheel (N/m) from the unit's force (N) and rate (N/m).

        Notes
        -----
        Source: derivative of virtual work (derived): ``dF_w/dw = (dF/ds) s'**2 + F s''``.
        """
        return np.asarray(
            unit_rate * self.motion_ratio(wheel) ** 2 + unit_force * self.bend(wheel), np.float64
        )

    @cached_property
    def _fitted(self) -> tuple[Any, str]:
        from scipy.interpolate import CubicSpline, PchipInterpolator, PPoly

        if self.smoothing > 0.0:
            return _smoothed(self.wheel, self.stroke, self.smoothing), SMOOTHED
        through = CubicSpline(self.wheel, self.stroke)
        if _rises(through, self.full_wheel):
            return through, SMOOTH
        monotone = PchipInterpolator(self.wheel, self.stroke)
        if _rises(monotone, self.full_wheel):
            return monotone, MONOTONE
        slopes = np.diff(self.stroke) / np.diff(self.wheel)
        return PPoly(np.array([slopes, self.stroke[:-1]]), self.wheel), STRAIGHT

    @property
    def _curve(self) -> Any:
        return self._fitted[0]

    @cached_property
    def _inverse(self) -> tuple[Array, Array]:
        fine = np.union1d(np.linspace(0.0, self.full_wheel, 20 * _GRID), self.wheel)
        return fine, np.asarray(self._curve(fine), np.float64)

    def _within(self, wheel: Value) -> Value:
        return np.clip(wheel, 0.0, self.full_wheel)


def _rises(curve: Any, full: float) -> bool:
    fine = np.linspace(0.0, full, _GRID)
    return bool(np.all(curve.derivative()(fine) > 0.0))


def _smoothed(wheel: Array, stroke: Array, length: float) -> Any:
    """The smoothing spline, moved to start at zero; worked out in units of the mean spacing."""
    from scipy.interpolate import BSpline, make_smoothing_spline

    spacing = float(wheel[-1]) / (wheel.size - 1)
    weight = (length / (2.0 * np.pi * spacing)) ** 4
    found = make_smoothing_spline(wheel / spacing, stroke / spacing, lam=weight)
    curve = BSpline(found.t * spacing, found.c * spacing, found.k)
    return BSpline(curve.t, curve.c - float(curve(0.0)), curve.k)
