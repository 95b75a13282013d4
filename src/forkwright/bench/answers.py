"""The published form of the bench's answers: SI, pressures absolute, the unit as the key's ending."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from forkwright.bench.chassis import ChassisCurve
from forkwright.bench.hose import HoseReading
from forkwright.bench.sag import Sag
from forkwright.bench.spring import SpringCurve


def spring_answer(curve: SpringCurve) -> dict[str, Any]:
    """Return a spring curve as the JSON object that the command line and the API give.

    Parameters
    ----------
    curve : SpringCurve

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "travel_m": curve.travel,
        "force_N": curve.force,
        "positive_Pa": curve.positive,
        "negative_Pa": curve.negative,
        "lower_leg_Pa": curve.lower_leg,
        "lower_leg_damper_Pa": curve.lower_leg_damper,
        "floating_m": curve.floating,
        "secondary_Pa": curve.secondary,
        "friction_N": curve.friction,
        "rate_N_m": curve.rate,
        "exponent": curve.exponent,
        "fingerprint": curve.fingerprint,
        "warnings": list(curve.warnings),
    }


def sag_answer(found: Sag) -> dict[str, Any]:
    """Return a sag band as the JSON object that the command line and the API give.

    Parameters
    ----------
    found : Sag

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "sag_m": found.middle,
        "sag_low_m": found.low,
        "sag_high_m": found.high,
        "rest_m": found.rest,
        "friction_N": found.friction,
        "load_N": found.load,
        "fingerprint": found.fingerprint,
        "warnings": list(found.warnings),
    }


def hose_answer(hose_volume: float, readings: Iterable[HoseReading]) -> dict[str, Any]:
    """Return what connecting a pump does; pressures are gauge.

    Parameters
    ----------
    hose_volume : float
        m3.
    readings : iterable of HoseReading

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    rows = [
        {
            "chamber": reading.chamber,
            "volume_m3": reading.volume,
            "before_gauge_Pa": reading.before,
            "after_gauge_Pa": reading.after,
            "to_keep_gauge_Pa": reading.to_keep,
        }
        for reading in readings
    ]
    return {"hose_volume_m3": hose_volume, "chambers": rows}


def chassis_answer(curve: ChassisCurve) -> dict[str, Any]:
    """Return bushing loads, friction and stiffness over the travel.

    Parameters
    ----------
    curve : ChassisCurve

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "travel_m": curve.travel,
        "crown_to_upper_m": curve.crown_to_upper,
        "axle_stiffness_N_m": curve.axle_stiffness,
        "lower_bushings_N": curve.lower,
        "upper_bushings_N": curve.upper,
        "friction_N": curve.friction,
        "warnings": list(curve.warnings),
    }
