"""The published form of leak-downs: SI, the unit as the key's ending, nothing that is not finite."""

from __future__ import annotations

import math
from typing import Any

from forkwright.evidence.ingress import Ingress
from forkwright.evidence.leak_files import LeakDown
from forkwright.evidence.leak_path import LeakVerdict
from forkwright.evidence.leakdown import LeakRate


def leak_down_answer(found: LeakDown) -> dict[str, Any]:
    """Return a leak-down as the JSON object of `forkwright leakdown`."""
    return {
        "chambers": [_leak(leak) for leak in found.leaks],
        "path": _verdict(found.verdict) if found.verdict is not None else None,
        "ingress": None,
        "warnings": list(found.warnings),
    }


def ingress_answer(found: Ingress) -> dict[str, Any]:
    """Return air drawn into the lowers, in the same object as a leak-down."""
    return {
        "chambers": [],
        "path": None,
        "ingress": {
            "per_ride_Pa": found.per_ride,
            "low_Pa": found.low,
            "high_Pa": found.high,
            "start_Pa": found.start,
            "air_per_ride_m3": found.volume_per_ride,
            "rides_to_limit": _finite(found.rides_to),
            "rides": found.rides,
            "gauge_Pa": found.gauge,
            "predicted_Pa": found.predicted,
        },
        "warnings": list(found.warnings),
    }


def _leak(leak: LeakRate) -> dict[str, Any]:
    return {
        "chamber": leak.chamber,
        "rate_Pa_s": leak.rate,
        "standard_error_Pa_s": leak.rate_std,
        "low_Pa_s": leak.rate_low,
        "high_Pa_s": leak.rate_high,
        "level": leak.level,
        "shown": leak.shown,
        "flow_mol_s": leak.flow if leak.volume else None,
        "start_Pa": leak.start,
        "reference_K": leak.reference_temperature,
        "half_life_s": _finite(leak.half_life),
        "time_s": leak.time,
        "corrected_Pa": leak.corrected,
        "predicted_Pa": leak.predicted,
        "warnings": list(leak.warnings),
    }


def _verdict(verdict: LeakVerdict) -> dict[str, Any]:
    return {
        "tight": verdict.tight,
        "possible": [
            {
                "source": v.source,
                "target": v.target,
                "flow_mol_s": v.flow,
                "standard_error_mol_s": v.flow_std,
                "chance": v.chance,
                "look_at": v.place,
            }
            for v in verdict.possible
        ],
        "sentences": list(verdict.sentences),
    }


def _finite(number: float) -> float | None:
    """An endless time has no number in JSON: null says that nothing can be shown yet."""
    return number if math.isfinite(number) else None
