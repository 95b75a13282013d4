"""The published form of a race plan: SI, setting pressures gauge."""

from __future__ import annotations

from typing import Any

from forkwright.tune.adjusters import value_in
from forkwright.tune.aims import AIMS
from forkwright.tune.aims_answer import aims_answer
from forkwright.tune.compare_answer import setting_answer
from forkwright.tune.race_plan import StagePlan, StageSetting
from forkwright.tune.recommend_answer import effort_answer, one_step
from forkwright.tune.stages_words import fixed_lines, stages_words, turn_words
from forkwright.units import UnitChoice


def stages_answer(found: StagePlan, units: UnitChoice | None = None) -> dict[str, Any]:
    """Return a race plan as the JSON object of the command line and the API; `units` of its sentences."""
    words = stages_words(found, units)
    return {
        "unit": found.unit.name,
        "wishes": list(found.wishes),
        "weights": dict(zip(AIMS, found.weights.tolist(), strict=True)),
        "deepest_allowed_share": found.deepest_allowed,
        "fixed": list(found.fixed),
        "fixed_words": list(fixed_lines(found, units)),
        "between": list(found.between),
        "one_for_all": None if found.one_for_all is None else setting_answer(found.one_for_all),
        "gain": found.gain,
        "gain_band": _band(found),
        "cases": [
            {"name": case.name, "speed_factor": case.speed, "temperature_K": case.temperature}
            for case in found.cases
        ],
        "stages": [_stage(found, number, one, units) for number, one in enumerate(found.stages)],
        "effort": effort_answer(found.effort),
        "sentences": list(words.sentences),
        "warnings": list(found.warnings),
    }


def _stage(found: StagePlan, number: int, one: StageSetting, units: UnitChoice | None) -> dict[str, Any]:
    travel = float(found.unit.travel.si)
    return {
        "name": one.stage.name,
        "altitude_m": one.stage.altitude,
        "setting": setting_answer(one.setting),
        "turn": turn_words(found, number),
        **aims_answer(one.aims),
        "cost": one.cost,
        "one_for_all_cost": one.shared_cost,
        "one_for_all": None if one.shared_aims is None else aims_answer(one.shared_aims),
        "by_case": [
            {"case": case.name, "regret": float(regret), **aims_answer(aims)}
            for case, regret, aims in zip(found.cases, one.regret, one.by_case, strict=True)
        ],
        "steps": [
            one_step(step, value_in(one.setting, step.adjuster), one.aims, travel, units)
            for step in one.steps
        ],
    }


def _band(found: StagePlan) -> dict[str, Any] | None:
    band = found.gain_band
    if band is None:
        return None
    return {
        "draws": band.draws,
        "low": band.low,
        "middle": band.middle,
        "high": band.high,
        "holds_share": {
            one.stage.name: float(share) for one, share in zip(found.stages, band.holds, strict=True)
        },
    }
