"""The published form of a recommendation: SI, setting pressures gauge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from forkwright.physics.values import Array
from forkwright.tune.adjusters import Adjuster, value_in
from forkwright.tune.aims import AIMS
from forkwright.tune.aims_answer import aims_answer, finite_or_none
from forkwright.tune.compare_answer import setting_answer
from forkwright.tune.naming import ADJUSTERS, PRESSURES, step_words, value_words
from forkwright.tune.recommend_sureness import ride_bands_answer
from forkwright.tune.recommend_words import recommend_words, step_result
from forkwright.tune.recommendation import Effort, Option, Recommendation, StepChange
from forkwright.units import UnitChoice


def recommend_answer(found: Recommendation, units: UnitChoice | None = None) -> dict[str, Any]:
    """Return a recommendation as the published JSON object; `units` are those of its sentences."""
    words = recommend_words(found, units)
    travel = float(found.unit.travel.si)
    return {
        "unit": found.unit.name,
        "courses": list(found.courses),
        "wishes": list(found.wishes),
        "weights": dict(zip(AIMS, found.weights.tolist(), strict=True)),
        "deepest_allowed_share": found.deepest_allowed,
        "best": option_answer(found.best, found.courses),
        "now": None if found.now is None else option_answer(found.now, found.courses),
        "trade_off": [option_answer(option, found.courses) for option in found.trade_off],
        "adjusters": [
            {"name": a.name, "words": ADJUSTERS[a.name], "reason": reason, **range_answer(a)}
            for a, (_, reason) in zip(found.adjusters, words.reasons, strict=True)
        ],
        "steps": steps_answer(found.steps, found.best, travel, units),
        "order": list(found.order),
        "bands": ride_bands_answer(found.bands, units),
        "effort": effort_answer(found.effort),
        "sentences": list(words.sentences),
        "warnings": list(found.warnings),
    }


def option_answer(option: Option, courses: Sequence[str]) -> dict[str, Any]:
    """Return one setting with its aims; a ride that was refused has none (null)."""
    return {
        "setting": setting_answer(option.setting),
        **aims_answer(option.aims),
        "hard_bottom_outs": finite_or_none(option.metal),
        "cost": finite_or_none(option.cost),
        "by_course": [
            {"course": name, **aims_answer(aims)}
            for name, aims in zip(courses, option.by_course, strict=True)
        ],
    }


def steps_answer(
    steps: Sequence[StepChange], best: Option, full_travel: float, units: UnitChoice | None
) -> list[dict[str, Any]]:
    """Return what one step of each adjuster changes."""
    return [
        one_step(step, value_in(best.setting, step.adjuster), best.aims, full_travel, units) for step in steps
    ]


def one_step(
    step: StepChange, value: float, before: Array, full_travel: float, units: UnitChoice | None
) -> dict[str, Any]:
    """Return one step: `value` is the adjuster's before it, `before` the aims."""
    size = step.value - value
    return {
        "adjuster": step.adjuster,
        "step": step.step,
        f"value{ending(step.adjuster)}": step.value,
        "value_words": value_words(step.adjuster, step.value, units),
        "change": aims_answer(step.change),
        "cost": finite_or_none(step.cost),
        "allowed": step.allowed,
        "words": f"{step_words(step.adjuster, step.step, size, units)} "
        f"{step_result(step, before, full_travel, units)}",
    }


def range_answer(adjuster: Adjuster) -> dict[str, Any]:
    """Return the range of an adjuster that was searched."""
    unit = ending(adjuster.name)
    return {
        f"lowest{unit}": float(adjuster.values[0]),
        f"highest{unit}": float(adjuster.values[-1]),
        "choices": int(adjuster.values.size),
    }


def ending(adjuster: str) -> str:
    """Return how the keys of an adjuster's values end; counts have no unit."""
    return "_m" if adjuster == "preload" else "_gauge_Pa" if adjuster in PRESSURES else ""


def effort_answer(effort: Effort) -> dict[str, Any]:
    """Return what a search took."""
    return {
        "settings": effort.settings,
        "rides": effort.rides,
        "ridden_s": effort.ridden,
        "waited_s": effort.waited,
        "workers": effort.workers,
    }
