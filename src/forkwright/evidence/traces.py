"""Bench traces that a unit can be fitted to, each with the prediction the virtual bench makes for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar, Literal

import numpy as np

from forkwright.bench import Conditions, spring_curve
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.hardware import Setting, Unit
from forkwright.physics.values import Array


class _OverTravel:
    """What is shown over the travel, m."""

    axis: ClassVar[str] = "travel_m"
    travel: Array

    @property
    def along(self) -> Array:
        """What it is shown over, m."""
        return self.travel


@dataclass(frozen=True)
class SpringTrace(_OverTravel):
    """A slow force-travel pull.

    Parameters
    ----------
    name : str
        Where it came from, for the note in the unit file.
    travel, measured : ndarray, shape (n,)
        m from full extension; force in N.
    direction : ndarray, shape (n,)
        +1 compressing, -1 extending, 0 where the friction is not known to act either way.
    conditions : Conditions
        Of the day.
    setting : Setting or None
        Pressure and spacers during the pull; the unit's own by default.
    """

    name: str
    travel: Array
    measured: Array
    direction: Array
    conditions: Conditions = field(default_factory=Conditions)
    setting: Setting | None = None
    kind: ClassVar[str] = "spring"
    unit_of_measured: ClassVar[str] = "N"

    def predict(self, unit: Unit, force_zero: float = 0.0, travel_zero: float = 0.0) -> Array:
        """Return the force the virtual bench reads for the same pull, N, the damper built in if there is one.

        Notes
        -----
        Source: statics (derived). The damper's gas pushes with the spring, and its seal holds with the
        spring's friction, as under a rider (`bench.standing`).
        """
        travel = self.travel - travel_zero
        curve = spring_curve(unit, self.setting, self.conditions, travel=travel)
        force = curve.force + gas_push(unit, self.conditions)(travel)
        friction = curve.friction + seal_of(unit)
        return np.asarray(force + self.direction * friction + force_zero, dtype=np.float64)


@dataclass(frozen=True)
class PressureTrace(_OverTravel):
    """Pressure of one chamber over the travel.

    Parameters
    ----------
    name : str
        Where it came from.
    travel, measured : ndarray, shape (n,)
        m from full extension; Pa, gauge.
    chamber : str
        "positive", "negative" or "lower_leg".
    conditions, setting
        As for `SpringTrace`.
    """

    name: str
    travel: Array
    measured: Array
    chamber: Literal["positive", "negative", "lower_leg"] = "positive"
    conditions: Conditions = field(default_factory=Conditions)
    setting: Setting | None = None
    kind: ClassVar[str] = "pressure"
    unit_of_measured: ClassVar[str] = "Pa"

    def predict(self, unit: Unit, force_zero: float = 0.0, travel_zero: float = 0.0) -> Array:
        """Return the gauge pressure the virtual bench reads, Pa; a load cell's zero plays no part."""
        del force_zero
        curve = spring_curve(unit, self.setting, self.conditions, travel=self.travel - travel_zero)
        found: Array = getattr(curve, self.chamber)
        return np.asarray(found - self.conditions.ambient_pressure, dtype=np.float64)


@dataclass(frozen=True)
class DampingTrace:
    """Force against speed from a dynamometer, gas force taken off.

    Parameters
    ----------
    name : str
        Where it came from.
    speed, measured : ndarray, shape (n,)
        m/s, compression positive; N, positive pushes towards extension.
    oil_temperature : float
        K.
    setting : Setting or None
        Clicks during the test; the unit's own by default.
    """

    name: str
    speed: Array
    measured: Array
    oil_temperature: float = 293.15
    setting: Setting | None = None
    kind: ClassVar[str] = "damping"
    axis: ClassVar[str] = "speed_m_s"
    unit_of_measured: ClassVar[str] = "N"

    @property
    def along(self) -> Array:
        """What it is shown over, m/s."""
        return self.speed

    def predict(self, unit: Unit, force_zero: float = 0.0, travel_zero: float = 0.0) -> Array:
        """Return the damping force the virtual bench reads, N; the travel's zero plays no part."""
        from forkwright.bench.damping import damping_curve

        del travel_zero
        curve = damping_curve(unit, self.setting, speeds=self.speed, oil_temperature=self.oil_temperature)
        return np.asarray(curve.force + force_zero, dtype=np.float64)


Trace = SpringTrace | PressureTrace | DampingTrace
