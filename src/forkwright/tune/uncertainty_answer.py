"""The published form of an uncertainty: SI, pressures absolute."""

from __future__ import annotations

from typing import Any

from forkwright.tune.uncertainty import AnswerUncertainty, Uncertainty

_ENDINGS = {"length": "m", "force": "N", "pressure": "Pa", "energy": "J", "dimensionless": "1"}


def uncertainty_answer(found: Uncertainty) -> dict[str, Any]:
    """Return an uncertainty as the JSON object that the command line and the API give."""
    return {
        "answers": [_one(answer) for answer in found.answers],
        "repeat_first": found.repeat_first,
        "evaluations": found.samples,
        "warnings": list(found.warnings),
    }


def _one(answer: AnswerUncertainty) -> dict[str, Any]:
    return {
        "name": answer.name,
        "unit": _ENDINGS[answer.dimension],
        "nominal": answer.nominal,
        "low": float(answer.band.low[0]),
        "middle": float(answer.band.middle[0]),
        "high": float(answer.band.high[0]),
        "repeat": answer.repeat,
        "band_width_without": answer.band_width_without,
        "shares": {
            name: {"first": first, "first_confidence": sure, "total": total, "total_confidence": total_sure}
            for name, first, sure, total, total_sure in zip(
                answer.shares.names,
                answer.shares.first.tolist(),
                answer.shares.first_confidence.tolist(),
                answer.shares.total.tolist(),
                answer.shares.total_confidence.tolist(),
                strict=True,
            )
        },
    }
