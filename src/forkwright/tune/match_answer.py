"""The published form of a match: SI, setting pressures gauge."""

from __future__ import annotations

from typing import Any

from forkwright.hardware import Unit
from forkwright.tune.compare_answer import setting_answer
from forkwright.tune.match import Match
from forkwright.tune.match_sureness import bands_answer
from forkwright.tune.match_words import match_words, neighbour_words
from forkwright.tune.naming import PRESSURES
from forkwright.tune.nearest_coil import NearestCoil
from forkwright.units import UnitChoice

STEP_UNITS = dict.fromkeys(PRESSURES, "_Pa") | {"rate": "_N_m", "preload": "_m"}
"""How the key of a step ends; steps of counts have no unit."""


def match_answer(a: Unit, b: Unit, found: Match, units: UnitChoice | None = None) -> dict[str, Any]:
    """Return a match as the JSON object that the command line and the API give; `units` of its sentences."""
    words = match_words(a, b, found, units)
    return {
        "a": a.name,
        "b": b.name,
        "setting": setting_answer(found.setting),
        "use": {
            "words": found.use.words,
            "travel_m": found.use.travel,
            "travel_weight": found.use.travel_weight,
            "speed_m_s": found.use.speed,
            "speed_weight": found.use.speed_weight,
        },
        "spring": _spring(found),
        "coil": coil_answer(found.coil) if found.coil is not None else None,
        "damping": _damping(found),
        "reasons": [
            {
                "part": reason.part,
                "words": reason.words,
                "rms_with_part_of_a_N": reason.rms_with_part_of_a,
                "share": reason.share,
            }
            for reason in found.reasons
        ],
        "neighbours": [
            {
                "adjuster": one.adjuster,
                "words": neighbour_words(one, units),
                f"step{STEP_UNITS.get(one.adjuster, '')}": one.step,
                "rms_N": one.rms,
            }
            for one in found.neighbours
        ],
        "pressure_room_gauge_Pa": list(found.pressure_room) if found.pressure_room is not None else None,
        "bands": bands_answer(found.bands, units),
        "sentences": list(words.sentences),
        "warnings": list(found.warnings),
    }


def coil_answer(coil: NearestCoil) -> dict[str, Any]:
    """Return the nearest coil of a match."""
    return {
        "rate_N_m": coil.rate,
        "preload_m": coil.preload,
        "exact_rate_N_m": coil.exact_rate,
        "exact_preload_m": coil.exact_preload,
        "travel_m": coil.travel,
        "remainder_N": coil.remainder,
        "rms_N": coil.rms,
        "worst_N": coil.worst,
        "worst_at_m": coil.worst_at,
        "target_rates_N_m": list(coil.target_rates),
    }


def _spring(found: Match) -> dict[str, Any] | None:
    spring = found.spring
    if spring is None:
        return None
    return {
        "travel_m": spring.travel,
        "remainder_N": spring.remainder,
        "weight": spring.weight,
        "rms_N": spring.rms,
        "worst_N": spring.worst,
        "worst_at_m": spring.worst_at,
        "friction_N": found.friction,
        "settings_tried": spring.tried,
    }


def _damping(found: Match) -> dict[str, Any] | None:
    clicks = found.clicks
    if clicks is None:
        return None
    return {
        "speed_m_s": clicks.speed,
        "wanted_N": clicks.wanted,
        "reached_N": clicks.reached,
        "remainder_N": clicks.remainder,
        "rms_N": clicks.rms,
        "rms_before_N": clicks.before,
        "combinations_tried": clicks.searched,
        "at_end": list(clicks.at_end),
    }
