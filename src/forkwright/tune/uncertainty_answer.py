"""The published form of an uncertainty: SI, pressures absolute."""

from __future__ import annotations

from typing import Any

from forkwright.hardware import Unit
from forkwright.tune.damping_verdict import DampingVerdict, damping_words
from forkwright.tune.naming import measure_words
from forkwright.tune.uncertainty import AnswerUncertainty, Uncertainty
from forkwright.tune.uncertainty_words import uncertainty_words
from forkwright.tune.verdict import Verdict
from forkwright.units import UnitChoice

_ENDINGS = {"length": "m", "force": "N", "pressure": "Pa", "energy": "J", "dimensionless": "1"}


def uncertainty_answer(
    unit: Unit,
    found: Uncertainty,
    judged: Verdict | None = None,
    units: UnitChoice | None = None,
    *,
    damped: DampingVerdict | None = None,
) -> dict[str, Any]:
    """Return an uncertainty as the JSON object that the command line and the API give.

    `judged` and `damped` are the verdicts on another unit's spring and damper, where they were asked for;
    `units` are those of the sentences.
    """
    return {
        "unit": unit.name,
        "answers": [_answer_of_one(answer) for answer in found.answers],
        "repeat_first": found.repeat_first,
        "evaluations": found.samples,
        "verdict": None if judged is None else verdict_answer(judged),
        "damping_verdict": None if damped is None else damping_answer(damped, units),
        "sentences": [
            *uncertainty_words(found, units),
            *([judged.words] if judged is not None else []),
            *([damping_words(damped, units)] if damped is not None else []),
        ],
        "warnings": list(found.warnings),
    }


def verdict_answer(judged: Verdict) -> dict[str, Any]:
    """Return whether two units differ beyond tolerance and friction."""
    return {
        "beyond_tolerance_share": judged.beyond_tolerance,
        "beyond_friction_share": judged.beyond_friction,
        "beyond_both_share": judged.beyond_both,
        "largest_N": judged.largest,
        "largest_at_m": judged.largest_at,
        "words": judged.words,
    }


def damping_answer(damped: DampingVerdict, units: UnitChoice | None = None) -> dict[str, Any]:
    """Return whether two dampers differ beyond tolerance and friction."""
    return {
        "speed_m_s": damped.speed,
        "difference_N": damped.difference,
        "difference_low_N": damped.band.low,
        "difference_high_N": damped.band.high,
        "friction_N": damped.friction,
        "beyond_tolerance_share": damped.beyond_tolerance,
        "beyond_friction_share": damped.beyond_friction,
        "beyond_both_share": damped.beyond_both,
        "words": damping_words(damped, units),
    }


def _answer_of_one(answer: AnswerUncertainty) -> dict[str, Any]:
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
            name: {
                "words": measure_words(name),
                "first": first,
                "first_confidence": sure,
                "total": total,
                "total_confidence": total_sure,
            }
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
