"""The published form of a damping curve: SI, pressures absolute, the unit as the key's ending."""

from __future__ import annotations

from typing import Any

from forkwright.bench.damping import DampingCurve


def damping_answer(curve: DampingCurve) -> dict[str, Any]:
    """Return a damping curve as the JSON object that the command line and the API give.

    Parameters
    ----------
    curve : DampingCurve

    Returns
    -------
    dict
        Keys with unit endings, SI.
    """
    return {
        "speed_m_s": curve.speed,
        "force_N": curve.force,
        "compression_chamber_Pa": curve.compression_chamber,
        "shaft_chamber_Pa": curve.shaft_chamber,
        "reservoir_Pa": curve.reservoir,
        "cavitation_margin_Pa": curve.cavitation_margin,
        "by_path_N": {name.replace(" ", "_"): force for name, force in curve.by_path.items()},
        "margin_lost_compression_m_s": curve.margin_lost[0],
        "margin_lost_rebound_m_s": curve.margin_lost[1],
        "clicks": curve.clicks,
        "oil_temperature_K": curve.oil_temperature,
        "position_m": curve.position,
        "fingerprint": curve.fingerprint,
        "warnings": list(curve.warnings),
    }
