"""Plain sentences about a race plan; every one is computed from its figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.tune.adjusters import value_in
from forkwright.tune.aim_words import aims_words, change_words, what_a_step_does
from forkwright.tune.naming import (
    ADJUSTERS,
    PRESSURES,
    SHORT,
    listed,
    setting_words,
    step_words,
    value_words,
)
from forkwright.tune.race_plan import StagePlan, StageSetting
from forkwright.tune.recommend_sureness import SURE
from forkwright.tune.recommend_words import CAUTION, effort_words
from forkwright.units import UnitChoice

ROBUST = 0.05
"""Regret (in the judged cost, where 1 is the whole trade-off) up to which a choice counts as right."""

LEAST_GAIN = 1e-6
"""Gain below which none is spoken of."""

HOT_WORDS = (
    "Pressures are those at the temperature and altitude where they are set; do not correct them on the way."
)


@dataclass(frozen=True)
class StagesWords:
    """What is said about a race plan; `stages` gives a stage's name and its sentences."""

    build: str
    gain: tuple[str, ...]
    stages: tuple[tuple[str, tuple[str, ...]], ...]
    day: tuple[str, ...]
    effort: str
    caution: str = CAUTION

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything in the order it is read."""
        told = [f"{name}: {words}" for name, sentences in self.stages for words in sentences]
        return (self.build, *self.gain, *told, *self.day, self.effort, self.caution)


def stages_words(found: StagePlan, units: UnitChoice | None = None) -> StagesWords:
    """Return the sentences of a race plan, in the units chosen."""
    effort = found.effort
    return StagesWords(
        build=_build(found, units),
        gain=(_gain(found, units), *_sure(found)),
        stages=tuple((one.stage.name, _stage(found, one, units)) for one in found.stages),
        day=_day(found),
        effort=effort_words(effort.settings, effort.rides, effort.ridden, effort.waited),
    )


def fixed_lines(found: StagePlan, units: UnitChoice | None = None) -> tuple[str, ...]:
    """Return what stays all day, one line each."""
    return tuple(
        f"{ADJUSTERS[name]}: {value_words(name, value_in(found.stages[0].setting, name), units)}"
        for name in found.fixed
    )


def turn_words(found: StagePlan, number: int) -> str:
    """Return what is turned before a stage, against the stage before it; empty for nothing.

    Examples
    --------
    A rebound of 6 clicks after one of 4 gives "rebound 2 out".
    """
    if number == 0:
        return ""
    said = []
    for name in found.between:
        before, now = (value_in(found.stages[place].setting, name) for place in (number - 1, number))
        if before == now:
            continue
        if name in PRESSURES:
            said.append(f"{SHORT[name]} {'up' if now > before else 'down'}")
        else:
            said.append(f"{SHORT[name]} {abs(now - before):.0f} {'out' if now > before else 'in'}")
    return ", ".join(said) or "nothing to turn"


def _build(found: StagePlan, units: UnitChoice | None) -> str:
    if not found.fixed:
        return "Nothing is fixed for the day."
    fixed = listed(fixed_lines(found, units))
    turned = listed([ADJUSTERS[name] for name in found.between]) or "nothing"
    return f"For the whole day: {fixed}. Between stages: {turned}."


def _gain(found: StagePlan, units: UnitChoice | None) -> str:
    if found.gain is None or found.one_for_all is None:
        return "No single setting is allowed on every stage: the settings per stage are needed."
    if found.gain < LEAST_GAIN:
        return "Turning between stages gains nothing here: one setting serves them all."
    mean = found.gain / len(found.stages)
    gains = {one.stage.name: (one.shared_cost or 0.0) - one.cost for one in found.stages}
    most = max(gains, key=gains.__getitem__)
    single = setting_words(found.one_for_all, units, found.unit)
    lost = [name for name, gained in gains.items() if gained < -LEAST_GAIN]
    told = f"most of it, {gains[most] / found.gain:.0%}, on {most}"
    if lost:
        told = (
            f"most on {most}, while {listed(lost)} {'give' if len(lost) > 1 else 'gives'} a little up for it"
        )
    return (
        f"Turning between stages gains {mean:.1%} of the whole trade-off a stage over one setting for all "
        f"({single}); {told}."
    )


def _sure(found: StagePlan) -> tuple[str, ...]:
    """How far the tolerances of the parts move the gain, and whether the settings still hold."""
    band = found.gain_band
    if band is None:
        return ()
    said = []
    if band.low is not None and band.high is not None and (found.gain or 0.0) >= LEAST_GAIN:
        count = len(found.stages)
        low, high = (f"{value / count:.1%}" for value in (band.low, band.high))
        told = "so it is a gain whatever they are" if band.low > 0.0 else "so it may be none at all"
        said.append(
            f"With parts, rider and bike off by their tolerances the gain is {low} to {high} a stage, {told}."
        )
    said += [
        f"On {one.stage.name} the setting keeps the limits in {share:.0%} of those draws only: ask for more "
        "margin, or measure more closely."
        for one, share in zip(found.stages, band.holds, strict=True)
        if share < SURE
    ]
    return tuple(said)


def _stage(found: StagePlan, one: StageSetting, units: UnitChoice | None) -> tuple[str, ...]:
    travel = float(found.unit.travel.si)
    said = [f"{setting_words(one.setting, units, found.unit)}; {aims_words(one.aims, travel, units)}."]
    if one.shared_aims is not None:
        worse, better = change_words(one.aims - one.shared_aims, one.shared_aims, travel, units)
        if better:
            said.append(
                f"Against one setting for all it brings {better}{f', and costs {worse}' if worse else ''}."
            )
        elif not worse:
            said.append("One setting for all serves this stage as well.")
    for name in found.between:
        for step in one.steps:
            if step.adjuster == name and step.allowed:
                words = step_words(name, step.step, step.value - value_in(one.setting, name), units)
                does = what_a_step_does(step.change, one.aims, travel, units)
                said.append(f"{ADJUSTERS[name]}, {words}: {does}.")
    said.append(_robust(found, one))
    return tuple(said)


def _robust(found: StagePlan, one: StageSetting) -> str:
    if len(found.cases) == 1:
        return "Only the expected day was looked at."
    worst = int(np.argmax(one.regret))
    deepest = int(np.argmax(one.by_case[:, 3]))
    left = f"it goes deepest {found.cases[deepest].name}, with {one.by_case[deepest, 3]:.0%} of the travel"
    if one.regret[worst] <= ROBUST:
        return f"The choice holds whatever the day brings; {left}."
    return (
        f"If it turns out {found.cases[worst].name}, another setting would be better by "
        f"{one.regret[worst]:.0%} of the whole trade-off; {left}."
    )


def _day(found: StagePlan) -> tuple[str, ...]:
    cases = listed([case.name for case in found.cases])
    said = [f"Every stage was ridden {cases}; a setting must hold in all of them."]
    altitudes = [one.stage.altitude for one in found.stages]
    if max(altitudes) - min(altitudes) > 1.0:
        said.append(f"The stages lie at {min(altitudes):.0f} to {max(altitudes):.0f} m of altitude.")
    if any(name in PRESSURES for name in found.fixed):
        said.append(HOT_WORDS)
    return tuple(said)
