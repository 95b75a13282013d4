"""The published form of front and rear together: SI, setting pressures gauge."""

from __future__ import annotations

import math
from typing import Any

from forkwright.physics.pitch import Mode
from forkwright.ride.attitude import Attitude
from forkwright.ride.pitch import PitchRide
from forkwright.ride.pitch_scores import EndScores
from forkwright.tune.balance import Balance, Pair
from forkwright.tune.balance_advice import Advice, Change
from forkwright.tune.balance_ends import EndBalance
from forkwright.tune.balance_words import advice_sentences, balance_sentences
from forkwright.tune.compare_answer import setting_answer
from forkwright.units import UnitChoice


def balance_answer(found: Balance, advice: Advice, units: UnitChoice | None = None) -> dict[str, Any]:
    """Return a balance as the JSON object of command line and API; `units` of its sentences."""
    layout = found.layout
    return {
        **pair_answer(found.pair),
        "dynamic_index": found.dynamic_index,
        "layout": {
            "sprung_mass_kg": layout.mass,
            "pitch_inertia_kg_m2": layout.inertia,
            "wheelbase_m": layout.wheelbase,
            "centre_to_front_m": layout.to_front,
            "centre_to_rear_m": layout.to_rear,
            "centre_height_m": layout.centre_height,
        },
        "ride": ride_answer(found.ride) if found.ride is not None else None,
        "level": attitude_answer(found.level),
        "held": attitude_answer(found.held) if found.held is not None else None,
        "advice": advice_answer(advice),
        "sentences": [*balance_sentences(found, units), *advice_sentences(advice, units)],
        "warnings": list(dict.fromkeys((*found.warnings, *advice.warnings))),
    }


def pair_answer(pair: Pair) -> dict[str, Any]:
    """Return both ends and their modes."""
    return {
        "front": end_answer(pair.front),
        "rear": end_answer(pair.rear),
        "modes": [mode_answer(mode) for mode in pair.modes],
        "sag_lead": pair.sag_lead,
        "frequency_ratio": pair.frequency_ratio,
    }


def end_answer(end: EndBalance) -> dict[str, Any]:
    """Return one end at its sag."""
    return {
        "name": end.unit.name,
        "setting": setting_answer(end.unit.setting),
        "sag_m": end.sag,
        "sag_low_m": end.sag_low,
        "sag_high_m": end.sag_high,
        "wheel_sag_m": end.wheel_sag,
        "wheel_travel_full_m": end.full,
        "sag_share": end.share,
        "carried_mass_kg": end.mass,
        "wheel_rate_N_m": end.rate,
        "frequency_Hz": end.frequency,
        "compression_N_s_m": end.compression,
        "rebound_N_s_m": end.rebound,
        "compression_damping_ratio": end.compression_ratio,
        "rebound_damping_ratio": end.rebound_ratio,
    }


def mode_answer(mode: Mode) -> dict[str, Any]:
    """Return one mode; the centre is null where it lies at infinity."""
    centre = mode.centre if math.isfinite(mode.centre) else None
    return {"frequency_Hz": mode.frequency, "damping_ratio": mode.damping, "centre_ahead_m": centre}


def attitude_answer(found: Attitude) -> dict[str, Any]:
    """Return how a bike stands; travels are null where a wheel lifts."""
    return {
        "gradient": found.stance.gradient,
        "speed_change_m_s2": found.stance.speed_change,
        "rider_shift_m": found.rider_shift,
        "front_load_N": found.front_load,
        "rear_load_N": found.rear_load,
        "front_wheel_travel_m": found.front_travel,
        "rear_wheel_travel_m": found.rear_travel,
        "fork_travel_m": found.fork_travel,
        "shock_stroke_m": found.shock_stroke,
        "pitch_rad": found.pitch,
        "lifts": found.lifts,
    }


def ride_answer(ride: PitchRide) -> dict[str, Any]:
    """Return the scores of a ride of both ends."""
    return {
        "front": _scores(ride.front),
        "rear": _scores(ride.rear),
        "duration_s": ride.scores.duration,
        "heave_acceleration_m_s2": ride.scores.heave_acceleration,
        "pitch_acceleration_rad_s2": ride.scores.pitch_acceleration,
        "pitch_rad": ride.scores.pitch,
        "attitude_drift_rad": ride.scores.attitude_drift,
    }


def advice_answer(advice: Advice) -> dict[str, Any]:
    """Return the changes at one end and both ends after them."""
    return {
        "end": advice.end,
        "aimed_sag_lead": advice.aims.sag_lead,
        "setting": setting_answer(advice.setting),
        "coil_rate_N_m": advice.coil_rate,
        "changes": [_change(one) for one in advice.changes],
        "equal_frequency_pressure_gauge_Pa": advice.frequency_ratio_pressure,
        "after": pair_answer(advice.after),
    }


def _change(one: Change) -> dict[str, Any]:
    ending = {"pressure": "_gauge_Pa", "coil_rate": "_N_m"}.get(one.adjuster, "_clicks")
    return {
        "adjuster": one.adjuster,
        f"before{ending}": one.before,
        f"after{ending}": one.after,
        "aimed": one.aimed,
        "reached": one.reached,
        "at_limit": one.at_limit,
    }


def _scores(end: EndScores) -> dict[str, Any]:
    return {
        "static_m": end.static,
        "riding_m": end.riding,
        "drift_m": end.drift,
        "greatest_m": end.greatest,
        "full_m": end.full,
        "bottom_outs": end.bottom_outs,
        "contact_lost_share": end.contact_lost_share,
        "tyre_load_variation": end.tyre_load_variation,
    }
