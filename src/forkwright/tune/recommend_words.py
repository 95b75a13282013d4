"""Plain sentences about a recommendation; every one is computed from its figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from forkwright.physics.values import Array
from forkwright.tune.adjusters import Adjuster, value_in
from forkwright.tune.aim_words import LEAST_SHARE, aims_words, change_words, what_a_step_does
from forkwright.tune.aims import AIMS, wished_for
from forkwright.tune.naming import ADJUSTERS, CLICKS, listed, sentence, setting_words, step_words, value_words
from forkwright.tune.recommend_sureness import ride_sureness
from forkwright.tune.recommendation import Option, Recommendation, StepChange
from forkwright.units import UnitChoice, show

CAUTION = (
    "Set pressures only within the limits and in the way the maker's manual gives; after any change check "
    "that the unit moves freely, and ride slowly first."
)

BEST_AT = {
    "grip": "steadiest on the tyre",
    "comfort": "calmest for the hands",
    "support": "highest in its travel",
    "margin": "furthest from bottoming out",
}


@dataclass(frozen=True)
class RecommendWords:
    """What is said about a recommendation.

    `reasons` gives adjuster and sentence; `trade_off` the ends of what is possible; `order` the trail tests.
    """

    start: str
    against_now: tuple[str, ...]
    reasons: tuple[tuple[str, str], ...]
    trade_off: tuple[str, ...]
    order: tuple[str, ...]
    sureness: tuple[str, ...]
    effort: str
    caution: str = CAUTION

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything in the order it is read."""
        return (
            self.start,
            *self.against_now,
            *(words for _, words in self.reasons),
            *self.trade_off,
            *self.order,
            *self.sureness,
            self.effort,
            self.caution,
        )


def recommend_words(found: Recommendation, units: UnitChoice | None = None) -> RecommendWords:
    """Return the sentences of a recommendation, in the units chosen."""
    travel = float(found.unit.travel.si)
    return RecommendWords(
        start=_start(found, travel, units),
        against_now=(_against_now(found, travel, units), *_unmet(found)),
        reasons=tuple(
            (adjuster.name, reason_words(adjuster, found.best, found.steps, travel, units))
            for adjuster in found.adjusters
        ),
        trade_off=_trade_off(found, units),
        order=_order(found, units),
        sureness=ride_sureness(found, units),
        effort=effort_words(
            found.effort.settings, found.effort.rides, found.effort.ridden, found.effort.waited
        ),
    )


def reason_words(
    adjuster: Adjuster,
    best: Option,
    steps: Sequence[StepChange],
    full_travel: float,
    units: UnitChoice | None = None,
) -> str:
    """Return why an adjuster stands where it does: what one step either way costs and brings."""
    value = value_in(best.setting, adjuster.name)
    said = f"{ADJUSTERS[adjuster.name]} at {value_words(adjuster.name, value, units)}"
    parts = [
        f"{_step(adjuster.name, step, value, units)} {step_result(step, best.aims, full_travel, units)}"
        for step in steps
        if step.adjuster == adjuster.name
    ]
    end = end_words(adjuster, value)
    return sentence(": ".join((said, "; ".join([*parts, *([end] if end else [])]))))


def step_result(step: StepChange, before: Array, full_travel: float, units: UnitChoice | None = None) -> str:
    """Return what one step does, and that it is not allowed where it is not."""
    done = what_a_step_does(step.change, before, full_travel, units)
    return done if step.allowed else f"{done}, and is not allowed: it breaks the limit on the biggest event"


def end_words(adjuster: Adjuster, value: float) -> str:
    """Return that an adjuster stands at an end of what was searched, and which; empty elsewhere."""
    low, high = float(adjuster.values[0]), float(adjuster.values[-1])
    if low == high:
        return "there is nothing else to choose"
    if value not in (low, high):
        return ""
    if adjuster.name in CLICKS:
        side = "closed" if value == low else "open"
        return f"it is fully {side}: the valve, not the clicks, is the limit there"
    if adjuster.name == "spacers":
        return "none is left to take out" if value == low else "no more fit"
    side = "lowest" if value == low else "highest"
    why = "that a rider can ride on or the limits allow" if adjuster.name == "pressure" else "searched"
    return f"it is the {side} {ADJUSTERS[adjuster.name]} {why}"


def effort_words(settings: int, rides: int, ridden: float, waited: float) -> str:
    """Return how much was looked at."""
    return (
        f"Looked at {settings:,} settings in {rides:,} simulated rides, {ridden / 3600.0:.1f} hours on the "
        f"trail, in {waited:.0f} s."
    )


def _step(name: str, step: StepChange, value: float, units: UnitChoice | None) -> str:
    return step_words(name, step.step, step.value - value, units)


def _start(found: Recommendation, travel: float, units: UnitChoice | None) -> str:
    wishes = f" for {listed(found.wishes)}" if found.wishes else ", all four aims weighed alike"
    setting = setting_words(found.best.setting, units, found.unit)
    return (
        f"Start with {setting} (clicks from fully closed){wishes}: over "
        f"{listed(found.courses)} {aims_words(found.best.aims, travel, units)}."
    )


def _against_now(found: Recommendation, travel: float, units: UnitChoice | None) -> str:
    if found.now is None:
        return "The setting in the file could not be ridden on these courses."
    if found.now.metal > 0:
        times = "once" if found.now.metal == 1 else f"{found.now.metal:.0f} times"
        return f"The setting in the file hits metal {times} on these courses."
    if found.now.aims[3] > found.deepest_allowed + 1e-9:
        return (
            f"The setting in the file uses {found.now.aims[3]:.0%} of the travel, "
            f"{found.deepest_allowed:.0%} are allowed."
        )
    worse, better = change_words(found.best.aims - found.now.aims, found.now.aims, travel, units)
    if not worse and not better:
        return "It is no better than the setting in the file: leave that as it is."
    gains = f"brings {better}" if better else "brings nothing"
    return f"Against the setting in the file it {gains}{f', and costs {worse}' if worse else ''}."


def _unmet(found: Recommendation) -> tuple[str, ...]:
    """Say so where no setting was found that gives more of what is wished for than the one in the file."""
    now = found.now
    if now is None or now.metal > 0 or now.aims[3] > found.deepest_allowed + 1e-9:
        return ()
    said = []
    for place in wished_for(found.wishes):
        floor, name = now.aims[place] * (1.0 - LEAST_SHARE), list(AIMS)[place]
        if found.best.aims[place] <= floor:
            continue
        elsewhere = any(option.aims[place] <= floor for option in found.trade_off)
        said.append(
            f"More {name} is to be had, but not together with the rest: see the trade-off."
            if elsewhere
            else f"No allowed setting was found that gives more {name} than that."
        )
    return tuple(said)


def _trade_off(found: Recommendation, units: UnitChoice | None) -> tuple[str, ...]:
    if len(found.trade_off) < 2:
        return ("No other allowed setting is better in any aim.",)
    travel = float(found.unit.travel.si)
    said = []
    for place, name in enumerate(AIMS):
        end = min(found.trade_off, key=lambda option: float(option.aims[place]))
        worse, better = change_words(end.aims - found.best.aims, found.best.aims, travel, units)
        if end is not found.best and better:
            costs = f"; it costs {worse}" if worse else ""
            setting = setting_words(end.setting, units, found.unit)
            said.append(f"The setting told that is {BEST_AT[name]}: {setting} brings {better}{costs}.")
    return tuple(said)


def _order(found: Recommendation, units: UnitChoice | None) -> tuple[str, ...]:
    names = listed([ADJUSTERS[name] for name in found.order])
    said = [
        f"On the trail change one thing at a time, in this order: {names}; ride the same stretch before and "
        f"after each, and go back to the start if it is no better."
    ]
    by_cost = sorted((s for s in found.steps if s.allowed), key=lambda s: s.cost)
    if by_cost:
        near = by_cost[0]
        value = value_in(found.best.setting, near.adjuster)
        travel = float(found.unit.travel.si)
        does = what_a_step_does(near.change, found.best.aims, travel, units)
        step = _step(near.adjuster, near, value, units)
        said.append(f"The step that loses least is {ADJUSTERS[near.adjuster]}, {step}: it {does}.")
    left = 1.0 - float(found.best.aims[3])
    said.append(f"The biggest event leaves {show(max(left, 0.0) * found.unit.travel.si, 'length', units)}.")
    return tuple(said)
