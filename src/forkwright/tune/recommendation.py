"""What a recommendation consists of: the setting, what it was weighed against, and how to test it."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.hardware import Setting, Unit
from forkwright.physics.values import Array
from forkwright.tune.adjusters import Adjuster
from forkwright.tune.drawn_rides import RideBands


@dataclass(frozen=True)
class Option:
    """One setting with its aims (see `aims.AIMS`): grip, comfort, support, margin."""

    setting: Setting
    aims: Array  # shape (4,)
    by_course: Array  # shape (courses, 4)
    metal: float  # hard bottom-outs over all courses
    cost: float  # judged by the wishes, lower is better


@dataclass(frozen=True)
class StepChange:
    """One adjuster moved by one step from the recommendation: what changes.

    `step` is +1 or -1 in the adjuster's own order (pressure and spacers up; clicks from fully closed, so +1
    opens); `value` the SI value after it; `change` of the aims, after minus before, shape (4,); `cost` the
    change of the judged cost, above zero is worse; `allowed` false where the step breaks the limits.
    """

    adjuster: str
    step: int
    value: float
    change: Array
    cost: float
    allowed: bool


@dataclass(frozen=True)
class Effort:
    """What the search took: rides simulated, seconds they last on the trail, and seconds of waiting."""

    settings: int
    rides: int
    ridden: float  # s
    waited: float  # s
    workers: int


@dataclass(frozen=True)
class Recommendation:
    """The setting, what it was weighed against, and how to test it."""

    unit: Unit
    best: Option
    now: Option | None  # the setting in the file on the nearest steps searched, if it can be ridden
    trade_off: tuple[Option, ...]  # allowed settings that no other beats in every aim, by cost
    steps: tuple[StepChange, ...]
    order: tuple[str, ...]  # adjusters to try on the trail, the one that matters most first
    adjusters: tuple[Adjuster, ...]
    wishes: tuple[str, ...]
    weights: Array
    courses: tuple[str, ...]
    deepest_allowed: float  # share of the travel
    bands: RideBands | None  # what the tolerances leave open; None where that was not asked for
    effort: Effort
    warnings: tuple[str, ...]
