"""Plain sentences about how sure the answers are; every one is computed from its figures."""

from __future__ import annotations

from forkwright.physics.constants import P0
from forkwright.tune.naming import measure_words, sentence
from forkwright.tune.uncertainty import AnswerUncertainty, Uncertainty
from forkwright.units import UnitChoice, show


def uncertainty_words(found: Uncertainty, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what is said about every answer, and what to measure again first."""
    said = [answer_words(answer, units) for answer in found.answers]
    if found.repeat_first is not None:
        said.append(
            f"Measure the {measure_words(found.repeat_first)} again first: over all answers it matters most."
        )
    return tuple(said)


def answer_words(answer: AnswerUncertainty, units: UnitChoice | None = None) -> str:
    """Return how sure one answer is, and what measuring better would bring."""
    zero = P0 if answer.dimension == "pressure" else 0.0
    nominal, low, high = (
        show(value - zero, answer.dimension, units)
        for value in (answer.nominal, float(answer.band.low[0]), float(answer.band.high[0]))
    )
    said = f"{answer.name} is {nominal}; nine times in ten between {low} and {high}"
    if answer.repeat is None:
        return sentence(f"{said}; no single measure stands out")
    share = float(answer.shares.total.max())
    width = show(answer.band_width_without, answer.dimension, units)
    now = show(float(answer.band.high[0] - answer.band.low[0]), answer.dimension, units)
    return sentence(
        f"{said}; {share:.0%} of that variance is the {measure_words(answer.repeat)}; known exactly, the "
        f"band would be {width} wide instead of {now}"
    )
