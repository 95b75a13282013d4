"""The published form of fits and bench traces: SI, the unit as the key's ending, nothing not finite."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.evidence.friction_loop import FrictionLoop, loop_of
from forkwright.evidence.recording import Recording
from forkwright.evidence.traces import Trace
from forkwright.evidence.unit_fit import UnitFit
from forkwright.units import DIMENSIONS


def fit_report(result: UnitFit, recordings: Sequence[Recording]) -> dict[str, Any]:
    """Return a fitted unit with what its recordings show by themselves: the friction loop and every fault."""
    loop = loop_of(recordings)
    answer = fit_answer(result)
    answer["loop"] = loop_answer(loop) if loop is not None else None
    answer["warnings"] = [*trace_warnings(recordings, loop), *answer["warnings"]]
    return answer


def fit_answer(result: UnitFit) -> dict[str, Any]:
    """Return a fitted unit as the JSON object of `forkwright fit`."""
    fit = result.fit
    parameters = [
        {
            "name": p.name,
            "si_unit": DIMENSIONS[p.dimension].si,
            "measured": p.start,
            "tolerance": p.tolerance,
            "fitted": float(fit.values[i]),
            "standard_error": float(fit.std[i]),
            "low": float(fit.low[i]),
            "high": float(fit.high[i]),
            "learned": float(fit.learned[i]),
        }
        for i, p in enumerate(fit.parameters)
    ]
    traces = [
        trace_answer(trace, predicted) | {f"noise_{trace.unit_of_measured}": noise}
        for trace, predicted, noise in zip(result.traces, result.predicted(), result.noises, strict=True)
    ]
    return {
        "parameters": parameters,
        "correlation": fit.correlation,
        "level": fit.level,
        "loss": fit.loss,
        "converged": fit.converged,
        "widened": math.sqrt(fit.correlated),
        "traces": traces,
        "untouched": list(result.advice.untouched),
        "alike": [{"first": a, "second": b, "correlation": r} for a, b, r in result.advice.alike],
        "advice": list(result.advice.sentences),
        "fingerprint": result.unit.fingerprint,
        "warnings": list(fit.warnings),
    }


def trace_answer(trace: Trace, predicted: NDArray[np.float64]) -> dict[str, Any]:
    """Return a bench trace beside what the virtual bench reads for it."""
    unit = trace.unit_of_measured
    return {
        "name": trace.name,
        "kind": trace.kind,
        trace.axis: trace.along,
        f"measured_{unit}": trace.measured,
        f"predicted_{unit}": predicted,
        f"residual_{unit}": trace.measured - predicted,
    }


def residual_columns(result: UnitFit) -> dict[str, list[str | float | int | None]]:
    """Return measured, predicted and residual of every sample as columns of one table."""
    columns: dict[str, list[str | float | int | None]] = {
        key: [] for key in ("trace", "axis", "along", "measured", "predicted", "residual")
    }
    for trace, predicted in zip(result.traces, result.predicted(), strict=True):
        n = trace.along.size
        for key, values in zip(
            columns,
            ([trace.name] * n, [trace.axis] * n, trace.along.tolist(), trace.measured.tolist(),
             predicted.tolist(), (trace.measured - predicted).tolist()),
            strict=True,
        ):  # fmt: skip
            columns[key] += values
    return columns


def trace_warnings(recordings: Sequence[Recording], loop: FrictionLoop | None) -> list[str]:
    """Return what to mind of the recordings, and of the friction loop among them."""
    told = [words for recording in recordings for words in recording.warnings]
    return [*told, *(loop.warnings if loop is not None else ())]


def loop_answer(loop: FrictionLoop) -> dict[str, Any]:
    """Return what a slow pull shows by itself."""
    return {
        "travel_m": loop.travel,
        "spring_N": loop.spring,
        "friction_N": loop.friction,
        "friction_mean_N": loop.friction_mean,
        "friction_error_N": loop.friction_error,
        "energy_J": loop.energy,
        "strokes": loop.strokes,
        "warnings": list(loop.warnings),
    }
