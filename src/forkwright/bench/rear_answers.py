"""The published form of what the rear wheel feels of a shock, and of a coil: SI, units in the keys."""

from __future__ import annotations

from typing import Any

from forkwright.bench.coil import CoilReading
from forkwright.bench.rear_damping import WheelDamping
from forkwright.bench.rear_sag import WheelSag
from forkwright.bench.rear_spring import WheelCurve
from forkwright.physics.values import Array


def wheel_spring_answer(curve: WheelCurve) -> dict[str, Any]:
    """Return the wheel's side of a spring curve, point for point; None beyond the linkage's end.

    Parameters
    ----------
    curve : WheelCurve

    Returns
    -------
    dict
        Keys with unit endings, SI.

    Notes
    -----
    Definition: lists are filled with None so that they have the length of the shock's own curve.
    """
    missing = curve.spring.travel.size - curve.wheel_travel.size

    def filled(values: Array) -> list[float | None]:
        return [*(float(value) for value in values), *([None] * missing)]

    return {
        "wheel_travel_m": filled(curve.wheel_travel),
        "wheel_force_N": filled(curve.force),
        "wheel_rate_N_m": filled(curve.rate),
        "wheel_friction_N": filled(curve.friction),
        "leverage_ratio": filled(curve.ratio),
        "gas_push_N": filled(curve.gas_push),
        "leverage_method": curve.method,
        "warnings": list(curve.warnings),
    }


def wheel_sag_answer(found: WheelSag) -> dict[str, Any]:
    """Return a shock's sag at the wheel.

    Parameters
    ----------
    found : WheelSag

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "wheel_sag_m": found.middle,
        "wheel_sag_low_m": found.low,
        "wheel_sag_high_m": found.high,
        "wheel_rest_m": found.rest,
        "wheel_travel_full_m": found.full,
        "wheel_load_N": found.wheel_load,
        "leverage_ratio": found.ratio,
        "warnings": list(found.warnings),
    }


def wheel_damping_answer(found: WheelDamping) -> dict[str, Any]:
    """Return a damper curve at the wheel, at one wheel travel.

    Parameters
    ----------
    found : WheelDamping

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "wheel_speed_m_s": found.speed,
        "wheel_damping_N": found.force,
        "wheel_travel_m": found.wheel_travel,
        "leverage_ratio": found.ratio,
    }


def coil_answer(reading: CoilReading) -> dict[str, Any]:
    """Return what a coil and its wire tell; only what could be worked out.

    Parameters
    ----------
    reading : CoilReading

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    entries = {
        "rate_N_m": reading.rate,
        "preload_m": reading.preload,
        "rate_from_wire_N_m": reading.rate_from_wire,
        "index": reading.index,
        "stress_Pa": reading.stress,
        "allowed_stress_Pa": reading.allowed_stress,
        "solid_travel_m": reading.solid_travel,
        "left_before_solid_m": reading.left_before_solid,
        "least_gaps_m": reading.least_gaps,
    }
    return {name: value for name, value in entries.items() if value is not None}
