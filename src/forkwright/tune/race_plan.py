"""What a race plan consists of: the build for the day, every stage's setting, and how sure the gain is."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.hardware import Setting, Unit
from forkwright.physics.values import Array
from forkwright.tune.recommendation import Effort, StepChange
from forkwright.tune.stage_days import Case, Stage


@dataclass(frozen=True)
class GainBand:
    """What the tolerances leave open of the gain, 5 % to 95 % of the draws.

    Parameters
    ----------
    draws : int
        In which every stage could be ridden.
    low, middle, high : float or None
        Of the gain, as `StagePlan.gain`; None where no single setting is allowed on every stage.
    holds : array
        Share of the draws in which a stage's setting is allowed in every case, shape (stages,).
    """

    draws: int
    low: float | None
    middle: float | None
    high: float | None
    holds: Array


@dataclass(frozen=True)
class StageSetting:
    """One stage: its setting, and how that compares with one setting for all.

    Parameters
    ----------
    stage : Stage
    setting : Setting
    aims : array
        Over all cases, shape (4,), as `aims.AIMS`.
    by_case : array
        Shape (cases, 4).
    cost : float
        Judged by the wishes on this stage, lower is better.
    shared_aims, shared_cost
        Those of the one setting for all; None where no single setting is allowed on every stage.
    regret : array
        Per case, how much cheaper the best other setting with the same build would have been, shape
        (cases,): zero where the choice is right whatever the day brings.
    steps : tuple of StepChange
        One step of what may be turned, judged on this stage.
    """

    stage: Stage
    setting: Setting
    aims: Array
    by_case: Array
    cost: float
    shared_aims: Array | None
    shared_cost: float | None
    regret: Array
    steps: tuple[StepChange, ...]


@dataclass(frozen=True)
class StagePlan:
    """The build for the day and the setting of every stage.

    `between` are the adjusters that may change between stages, `fixed` those that stay all day; `gain` is the
    sum over the stages of what the costs fall by against `one_for_all`.
    """

    unit: Unit
    build: Setting  # what stays all day is valid in it; the rest is that of the first stage
    stages: tuple[StageSetting, ...]
    one_for_all: Setting | None
    gain: float | None
    between: tuple[str, ...]
    fixed: tuple[str, ...]
    cases: tuple[Case, ...]
    wishes: tuple[str, ...]
    weights: Array
    deepest_allowed: float
    gain_band: GainBand | None  # None where that was not asked for
    effort: Effort
    warnings: tuple[str, ...]
