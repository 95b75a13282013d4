"""Bench traces that a unit can be fitted to, each with the prediction the virtual bench makes for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions, spring_curve
from forkwright.bench.gas_push import gas_push, seal_of
from forkwright.evidence.friction_loop import directions
from forkwright.evidence.recording import Recording
from forkwright.hardware import Setting, Unit
from forkwright.units import InputError

Floats = NDArray[np.float64]

MOST_SAMPLES = 4000
_PAST_THE_STOPS = 0.005  # m of travel beyond the unit's own that a trace may show


@dataclass(frozen=True)
class SpringTrace:
    """A slow force-travel pull.

    Parameters
    ----------
    name : str
        Where it came from, for the note in the unit file.
    travel, force : ndarray, shape (n,)
        m from full extension, N.
    direction : ndarray, shape (n,)
        +1 compressing, -1 extending, 0 where the friction is not known to act either way.
    conditions : Conditions
        Of the day.
    setting : Setting or None
        Pressure and spacers during the pull; the unit's own by default.
    """

    name: str
    travel: Floats
    force: Floats
    direction: Floats
    conditions: Conditions = field(default_factory=Conditions)
    setting: Setting | None = None
    kind: ClassVar[str] = "spring"
    unit_of_measured: ClassVar[str] = "N"

    @property
    def measured(self) -> Floats:
        """What was measured, N."""
        return self.force

    @property
    def along(self) -> tuple[str, Floats]:
        """The axis it is shown over."""
        return "travel_m", self.travel

    def predict(self, unit: Unit, force_zero: float = 0.0, travel_zero: float = 0.0) -> Floats:
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
class PressureTrace:
    """Pressure of one chamber over the travel.

    Parameters
    ----------
    name : str
        Where it came from.
    travel, pressure : ndarray, shape (n,)
        m from full extension; Pa, gauge.
    chamber : str
        "positive", "negative" or "lower_leg".
    conditions, setting
        As for `SpringTrace`.
    """

    name: str
    travel: Floats
    pressure: Floats
    chamber: Literal["positive", "negative", "lower_leg"] = "positive"
    conditions: Conditions = field(default_factory=Conditions)
    setting: Setting | None = None
    kind: ClassVar[str] = "pressure"
    unit_of_measured: ClassVar[str] = "Pa"

    @property
    def measured(self) -> Floats:
        """What was measured, Pa gauge."""
        return self.pressure

    @property
    def along(self) -> tuple[str, Floats]:
        """The axis it is shown over."""
        return "travel_m", self.travel

    def predict(self, unit: Unit, force_zero: float = 0.0, travel_zero: float = 0.0) -> Floats:
        """Return the gauge pressure the virtual bench reads, Pa; a load cell's zero plays no part."""
        del force_zero
        curve = spring_curve(unit, self.setting, self.conditions, travel=self.travel - travel_zero)
        found: Floats = getattr(curve, self.chamber)
        return np.asarray(found - self.conditions.ambient_pressure, dtype=np.float64)


@dataclass(frozen=True)
class DampingTrace:
    """Force against speed from a dynamometer, gas force taken off.

    Parameters
    ----------
    name : str
        Where it came from.
    speed, force : ndarray, shape (n,)
        m/s, compression positive; N, positive pushes towards extension.
    oil_temperature : float
        K.
    setting : Setting or None
        Clicks during the test; the unit's own by default.
    """

    name: str
    speed: Floats
    force: Floats
    oil_temperature: float = 293.15
    setting: Setting | None = None
    kind: ClassVar[str] = "damping"
    unit_of_measured: ClassVar[str] = "N"

    @property
    def measured(self) -> Floats:
        """What was measured, N."""
        return self.force

    @property
    def along(self) -> tuple[str, Floats]:
        """The axis it is shown over."""
        return "speed_m_s", self.speed

    def predict(self, unit: Unit, force_zero: float = 0.0, travel_zero: float = 0.0) -> Floats:
        """Return the damping force the virtual bench reads, N; the travel's zero plays no part."""
        from forkwright.bench.damping import damping_curve

        del travel_zero
        curve = damping_curve(unit, self.setting, speeds=self.speed, oil_temperature=self.oil_temperature)
        return np.asarray(curve.force + force_zero, dtype=np.float64)


Trace = SpringTrace | PressureTrace | DampingTrace


def trace_of(
    recording: Recording,
    unit: Unit,
    conditions: Conditions | None = None,
    setting: Setting | None = None,
    oil_temperature: float = 293.15,
) -> Trace:
    """Say from its channels what kind of trace a recording is, and take it out.

    Parameters
    ----------
    recording : Recording
        Travel and force, force and speed, or travel and a pressure.
    unit : Unit
        What was on the bench.
    conditions, setting
        Of the day; the unit's own setting by default.
    oil_temperature : float
        K, for a dynamometer trace.

    Raises
    ------
    InputError
        If the channels make no trace that a unit can be fitted to.
    """
    channels = recording.channels.keys()
    if {"travel", "force"} <= channels:
        return spring_trace(recording, unit, conditions, setting)
    if {"speed", "force"} <= channels:
        return damping_trace(recording, unit, oil_temperature, setting)
    if "travel" in channels and any(name.endswith("pressure") for name in channels):
        return pressure_trace(recording, unit, conditions, setting)
    raise InputError(
        "no trace to fit to: it needs travel and force, speed and force, or travel and pressure",
        file=recording.source,
        value=", ".join(channels) or "no channel",
    )


def spring_trace(
    recording: Recording, unit: Unit, conditions: Conditions | None = None, setting: Setting | None = None
) -> SpringTrace:
    """Take a slow pull out of a recording: direction from the travel, turns left out, long traces thinned.

    Raises
    ------
    InputError
        If travel or force is missing, or the travel goes past the unit's own.
    """
    travel, force = recording["travel"], recording["force"]
    _check_travel(travel, unit, recording.source)
    sign = directions(travel)
    kept = _thinned(np.flatnonzero(sign))
    if kept.size < 10:
        raise InputError("hardly any sample moves steadily one way or the other", file=recording.source)
    return SpringTrace(
        recording.source,
        travel[kept],
        force[kept],
        sign[kept].astype(np.float64),
        conditions or Conditions(),
        setting,
    )


def pressure_trace(
    recording: Recording, unit: Unit, conditions: Conditions | None = None, setting: Setting | None = None
) -> PressureTrace:
    """Take a chamber's pressure over the travel out of a recording."""
    name = next(
        (n for n in ("pressure", "negative_pressure", "lower_leg_pressure") if n in recording.channels), ""
    )
    travel, pressure = recording["travel"], recording[name or "pressure"]
    _check_travel(travel, unit, recording.source)
    conditions = conditions or Conditions()
    if name in recording.absolute:
        pressure = pressure - conditions.ambient_pressure
    chamber: Literal["positive", "negative", "lower_leg"] = (
        "negative" if name.startswith("neg") else "lower_leg" if name.startswith("low") else "positive"
    )
    kept = _thinned(np.arange(travel.size))
    return PressureTrace(recording.source, travel[kept], pressure[kept], chamber, conditions, setting)


def damping_trace(
    recording: Recording, unit: Unit, oil_temperature: float = 293.15, setting: Setting | None = None
) -> DampingTrace:
    """Take force against speed out of a recording."""
    if unit.damper is None:
        raise InputError("the unit has no [damper] to fit", file=recording.source)
    speed, force = recording["speed"], recording["force"]
    kept = _thinned(np.arange(speed.size), 400)
    return DampingTrace(recording.source, speed[kept], force[kept], oil_temperature, setting)


def _check_travel(travel: Floats, unit: Unit, source: str) -> None:
    low, high = float(travel.min()), float(travel.max())
    if low < -_PAST_THE_STOPS or high > unit.travel.si + _PAST_THE_STOPS:
        raise InputError(
            "the travel in the trace goes past the unit's own: wrong unit, sign or zero?",
            file=source,
            key="travel",
            value=f"{low * 1000:.1f} to {high * 1000:.1f} mm",
            allowed=f"0 to {unit.travel.si * 1000:.0f} mm",
        )


def _thinned(kept: NDArray[np.intp], most: int = MOST_SAMPLES) -> NDArray[np.intp]:
    """Return every k-th index so that no more than `most` are left."""
    return kept[:: max(1, -(-kept.size // most))]
