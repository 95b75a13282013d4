"""The published form of this room's answers: SI, the unit as the key's ending, nothing that is not finite."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from forkwright.evidence.bootstrap import Interval
from forkwright.evidence.compare_runs import RunComparison
from forkwright.evidence.course_shares import CourseShares
from forkwright.evidence.friction_loop import FrictionLoop, loop_of
from forkwright.evidence.leak_files import LeakDown
from forkwright.evidence.leak_path import Ingress, LeakVerdict
from forkwright.evidence.leakdown import LeakRate
from forkwright.evidence.overlay import Overlay
from forkwright.evidence.recording import Recording
from forkwright.evidence.ride_log import RideLog, Use, UsedRange
from forkwright.evidence.signals import level_of_detail
from forkwright.evidence.spectra import Spectrum
from forkwright.evidence.traces import Trace
from forkwright.evidence.unit_fit import UnitFit
from forkwright.evidence.windows import Window
from forkwright.units import DIMENSIONS


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
    axis, along = trace.along
    unit = trace.unit_of_measured
    return {
        "name": trace.name,
        "kind": trace.kind,
        axis: along,
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
        axis, along = trace.along
        n = along.size
        for key, values in zip(
            columns,
            ([trace.name] * n, [axis] * n, along.tolist(), trace.measured.tolist(), predicted.tolist(),
             (trace.measured - predicted).tolist()),
            strict=True,
        ):  # fmt: skip
            columns[key] += values
    return columns


def fit_report(result: UnitFit, recordings: Sequence[Recording]) -> dict[str, Any]:
    """Return a fitted unit with what its recordings show by themselves: the friction loop and every fault."""
    loop = loop_of(recordings)
    answer = fit_answer(result)
    answer["loop"] = loop_answer(loop) if loop is not None else None
    answer["warnings"] = [*trace_warnings(recordings, loop), *answer["warnings"]]
    return answer


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


def log_answer(log: RideLog, spectrum: Spectrum | None = None, series: bool = False) -> dict[str, Any]:
    """Return a ride log as the JSON object of `forkwright log`."""
    answer: dict[str, Any] = {
        "source": log.source,
        "full_travel_m": log.full_travel,
        "rate_Hz": log.motion.rate,
        "cutoff_Hz": log.motion.cutoff,
        "whole": use_answer(log.whole),
        "sections": [use_answer(use) for use in log.sections],
        "bottom_out_times_s": list(log.bottom_out_times),
        "warnings": list(log.warnings),
    }
    if spectrum is not None:
        answer["spectrum"] = {
            "frequency_Hz": spectrum.frequency,
            "travel_density_m2_Hz": spectrum.density,
            "low_m2_Hz": spectrum.low,
            "high_m2_Hz": spectrum.high,
            "windows": spectrum.windows,
            "warnings": list(spectrum.warnings),
        }
    if series:
        time, travel = level_of_detail(log.motion.time, log.motion.travel)
        answer["series"] = {"time_s": time, "travel_m": travel}
    return answer


def window_answer(window: Window, unit: str) -> dict[str, Any]:
    """Return a stretch of a channel for the screen; null stands where the log has a gap."""
    values = [None if math.isnan(value) else value for value in window.values.tolist()]
    return {"time_s": window.time, unit: values, "samples": window.samples, "whole": window.whole}


def use_answer(use: Use) -> dict[str, Any]:
    """Return the use over a ride or a section."""
    return {
        "name": use.name,
        "riding_s": use.riding,
        "riding_sag_m": use.riding_sag,
        "deepest_m": use.deepest,
        "usual_low_m": use.usual_low,
        "usual_high_m": use.usual_high,
        "bottom_outs": use.bottom_outs,
        "top_outs": use.top_outs,
        "fast_compression_share": use.fast_compression,
        "fast_rebound_share": use.fast_rebound,
        "compression_speed_m_s": use.compression_speed,
        "rebound_speed_m_s": use.rebound_speed,
        "deep_share": use.deep,
        "used": used_answer(use.used),
    }


def used_answer(used: UsedRange) -> dict[str, Any]:
    """Return the histograms that matching and recommending are weighted with."""
    return {
        "travel_edges_m": used.travel_edges,
        "travel_share": used.travel_share,
        "speed_edges_m_s": used.speed_edges,
        "speed_share": used.speed_share,
        "duration_s": used.duration,
    }


def comparison_answer(found: RunComparison) -> dict[str, Any]:
    """Return what differs between two runs."""
    return {
        "differences": [
            {
                "name": d.name,
                "si_unit": d.unit,
                "first": d.first,
                "second": d.second,
                "change": _interval(d.change),
                "shown": d.shown,
            }
            for d in found.differences
        ],
        "block_s": found.block,
        "level": found.level,
        "warnings": list(found.warnings),
    }


def overlay_answer(laid: Overlay) -> dict[str, Any]:
    """Return a simulated ride laid over a measured one, both thinned alike for drawing."""
    keep = slice(None, None, max(1, laid.time.size // 4000))
    return {
        "time_s": laid.time[keep],
        "measured_m": laid.measured[keep],
        "simulated_m": laid.simulated[keep],
        "shift_s": laid.shift,
        "correlation": laid.correlation,
        "rms_m": laid.rms,
        "measured_use": used_answer(laid.measured_use),
        "simulated_use": used_answer(laid.simulated_use),
        "warnings": list(laid.warnings),
    }


def _interval(interval: Interval) -> dict[str, Any]:
    return {
        "value": interval.value,
        "low": interval.low,
        "high": interval.high,
        "standard_error": interval.std,
        "blocks": interval.blocks,
    }


def course_shares_answer(found: CourseShares, source: str) -> dict[str, Any]:
    """Return which courses make up a logged ride."""
    return {
        "source": source,
        "courses": [
            {"course": name, "share": float(share), "gap_alone": float(alone)}
            for name, share, alone in zip(found.names, found.shares, found.alone, strict=True)
        ],
        "gap": found.gap,
        "logged_deepest_share": found.logged_deepest,
        "simulated_deepest_share": found.simulated_deepest,
        "warnings": list(found.warnings),
    }


def course_shares_words(found: CourseShares, source: str) -> str:
    """Return which courses make up a logged ride, in one sentence."""
    parts = sorted(zip(found.shares, found.names, strict=True), reverse=True)
    told = [f"{share:.0%} {name}" for share, name in parts if share >= 0.005]
    words = " and ".join([", ".join(told[:-1]), told[-1]] if len(told) > 1 else told)
    left = f"the shares of time still differ by {found.gap:.1%} rms"
    return f"The ride in {source} is made up best of {words}; {left}."


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
