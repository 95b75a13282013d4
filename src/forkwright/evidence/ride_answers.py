"""The published form of ride logs: SI, the unit as the key's ending, nothing that is not finite."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from forkwright.evidence.bootstrap import Interval
from forkwright.evidence.compare_runs import RunComparison
from forkwright.evidence.course_shares import CourseShares
from forkwright.evidence.overlay import Overlay
from forkwright.evidence.ride_log import RideLog
from forkwright.evidence.ride_use import Use, UsedRange
from forkwright.evidence.signals import level_of_detail
from forkwright.evidence.spectra import Spectrum
from forkwright.evidence.windows import Window


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


def use_columns(logs: Sequence[RideLog]) -> dict[str, list[str | float | int | None]]:
    """Return the use of each log, whole and by section, as columns of one table; histograms are left out."""
    columns: dict[str, list[str | float | int | None]] = {}
    for log in logs:
        for use in (log.whole, *log.sections):
            columns.setdefault("log", []).append(log.source)
            for key, value in use_answer(use).items():
                if key != "used":
                    columns.setdefault(key, []).append(value)
    return columns


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


def _interval(interval: Interval) -> dict[str, Any]:
    return {
        "value": interval.value,
        "low": interval.low,
        "high": interval.high,
        "standard_error": interval.std,
        "blocks": interval.blocks,
    }
