"""Bench traces taken out of recordings: their kind, their direction, turns left out, long ones thinned."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from forkwright.bench import Conditions
from forkwright.evidence.recording import Recording
from forkwright.evidence.strokes import directions
from forkwright.evidence.traces import DampingTrace, PressureTrace, SpringTrace, Trace
from forkwright.hardware import Setting, Unit
from forkwright.physics.values import Array
from forkwright.units import InputError

MOST_SAMPLES = 4000
_PAST_THE_STOPS = 0.005  # m of travel beyond the unit's own that a trace may show


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


def _check_travel(travel: Array, unit: Unit, source: str) -> None:
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
