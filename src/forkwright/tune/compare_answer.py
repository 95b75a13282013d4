"""The published form of a comparison: SI, pressures absolute except a setting's, which are gauge."""

from __future__ import annotations

from typing import Any

from forkwright.bench.answers import sag_answer, spring_answer
from forkwright.bench.bands import Band
from forkwright.hardware import Setting
from forkwright.tune.compare import Comparison, Side
from forkwright.tune.compare_damper import DamperHalf, DamperSide
from forkwright.tune.nearest_spring import NearestSpring
from forkwright.units import Measure


def compare_answer(comparison: Comparison) -> dict[str, Any]:
    """Return a comparison as the JSON object that the command line and the API give."""
    difference = comparison.difference
    return {
        "a": side_answer(comparison.a),
        "b": side_answer(comparison.b),
        "load_N": comparison.load,
        "side_load_N": comparison.side_load,
        "difference": {
            "travel_m": difference.travel,
            "force_N": difference.force,
            **_band("force", "N", difference.band),
            "beyond_tolerance": difference.beyond,
            "stretches_m": [list(stretch) for stretch in difference.stretches],
        },
        "nearest": _nearest(comparison.nearest, comparison.nearest_side),
        "damper": damper_answer(comparison.damper) if comparison.damper is not None else None,
        "equal_sag": setting_answer(comparison.equal_sag) if comparison.equal_sag is not None else None,
        "warnings": list(comparison.warnings),
    }


def damper_answer(half: DamperHalf) -> dict[str, Any]:
    """Return the damper half of a comparison."""
    difference, nearest = half.difference, half.nearest
    return {
        "oil_temperature_K": half.oil_temperature,
        "a": _damper_side(half.a),
        "b": _damper_side(half.b),
        "difference": {
            "speed_m_s": difference.speed,
            **{f"a_{name}": values for name, values in _band("force", "N", difference.first).items()},
            **{f"b_{name}": values for name, values in _band("force", "N", difference.second).items()},
            "beyond_tolerance": difference.apart,
        },
        "nearest": {
            "clicks": nearest.clicks,
            "speed_m_s": nearest.speed,
            "wanted_N": nearest.wanted,
            "reached_N": nearest.reached,
            "rms_N": nearest.rms,
            "rms_before_N": nearest.before,
            "combinations_tried": nearest.searched,
            "at_end": list(nearest.at_end),
        },
    }


def _damper_side(side: DamperSide) -> dict[str, Any]:
    curve = side.curve
    return {
        "clicks": curve.clicks,
        "speed_m_s": curve.speed,
        "force_N": curve.force,
        "cavitation_margin_Pa": curve.cavitation_margin,
        "margin_lost_compression_m_s": curve.margin_lost[0],
        "margin_lost_rebound_m_s": curve.margin_lost[1],
        "click_effects": [
            {"adjuster": e.adjuster, "step": e.step, "speed_m_s": e.speed, "force_change_N": e.force_change}
            for e in side.effects
        ],
        "cavitation_maps": [
            {"adjuster": m.adjuster, "speed_m_s": m.speed, "clicks": m.clicks, "margin_Pa": m.margin}
            for m in side.maps
        ],
    }


def side_answer(side: Side) -> dict[str, Any]:
    """Return one unit of a comparison."""
    figures = side.figures
    bands = {
        **_band("force", "N", side.bands["force"]),
        **_band("rate", "N_m", side.bands["rate"]),
        **_band("positive", "Pa", side.bands["positive"]),
        **_band("negative", "Pa", side.bands["negative"]),
    }
    return {
        "name": side.unit.name,
        "setting": setting_answer(side.setting),
        "spring": spring_answer(side.spring) | bands,
        "sag": sag_answer(side.sag)
        | {
            "tolerance_low_m": float(side.sag_bands["middle"].low[0]),
            "tolerance_high_m": float(side.sag_bands["middle"].high[0]),
        },
        "end_force_N": figures.end_force,
        "end_pressure_Pa": figures.end_pressure,
        "end_pressure_fast_Pa": figures.end_pressure_fast,
        "energy_J": figures.energy,
        "energy_fast_J": figures.energy_fast,
        "midstroke_support": figures.midstroke_support,
        "steps": [
            {
                "what": step.what,
                "step": step.step,
                "sag_m": step.sag,
                "half_force_N": step.half_force,
                "end_force_N": step.end_force,
                "end_pressure_Pa": step.end_pressure,
            }
            for step in side.steps
        ],
    }


def setting_answer(setting: Setting) -> dict[str, Any]:
    """Return a setting: gauge pressures (`..._gauge_Pa`), spacers, clicks from closed; only what there is."""
    answer: dict[str, Any] = {}
    for name in type(setting).model_fields:
        value = getattr(setting, name)
        if value is None:
            continue
        if not isinstance(value, Measure):
            answer[name] = value
        elif name == "preload":
            answer["preload_m"] = value.si
        else:
            answer[f"{name}_gauge_Pa"] = value.si
    return answer


def _nearest(nearest: NearestSpring | None, side: Side | None) -> dict[str, Any] | None:
    if nearest is None or side is None:
        return None
    return {
        "setting": setting_answer(nearest.setting),
        "travel_m": nearest.travel,
        "remainder_N": nearest.remainder,
        "rms_N": nearest.rms,
        "worst_N": nearest.worst,
        "worst_at_m": nearest.worst_at,
        "settings_tried": nearest.tried,
        "sag": sag_answer(side.sag),
    }


def _band(name: str, unit: str, band: Band) -> dict[str, Any]:
    return {f"{name}_low_{unit}": band.low, f"{name}_high_{unit}": band.high}
