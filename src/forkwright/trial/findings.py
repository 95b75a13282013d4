"""The shapes of what an analysis finds; no statistics here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from forkwright.trial.mixed import OrderModel
from forkwright.trial.ranks import RankTest

Finding = Literal["difference", "no worthwhile difference", "cannot tell"]
Unit = Literal["points", "s"]
Better = Literal["high", "low"]
"""Which end of what was measured is the better one."""


@dataclass(frozen=True)
class Comparison:
    """Two options compared on one question.

    `estimate`, `low`, `high` and `worthwhile` share a unit: a share of answers for choices and rankings
    (of right answers, or of those that put `first` ahead), points or seconds (`first` minus `second`) for
    ratings and times.
    """

    first: str
    second: str
    measure: str
    unit: Literal["share", "points", "s"]
    units: int
    """How many answers, blocks or riders were counted, dimensionless."""
    counted: str
    """What those are: "answers", "blocks of runs" or "riders"."""
    estimate: float
    low: float
    high: float
    confidence: float
    null: float
    """The estimate if there were nothing to tell."""
    worthwhile: float
    """The difference worth finding, as the plan has it."""
    p_value: float
    adjusted_p: float
    method: str
    finding: Finding
    better: str
    """The label that comes out ahead, or empty."""
    more: int | None
    """How many more of what is counted would decide; None where none are needed or no number would."""
    more_because: str
    effect: float | None = None
    """Standardised effect, dimensionless; for tests of difference the share that can really tell."""
    effect_low: float | None = None
    effect_high: float | None = None
    sign_p_value: float | None = None
    belief_worthwhile: float | None = None
    """If asked for: the probability that the difference is at least the one worth finding."""
    belief_ahead: float | None = None
    """If asked for: the probability that `first` is ahead (or that anything can be told)."""


@dataclass(frozen=True)
class Trend:
    """Whether answers change as the trial goes on: learning, fatigue, or a favoured place."""

    what: str
    sentence: str
    value: float
    """Late minus early share, share of first places, or change per run (points or seconds)."""
    low: float | None
    high: float | None
    p_value: float


@dataclass(frozen=True)
class MeasureFindings:
    """All about one rating or time."""

    name: str
    unit: Unit
    better: Better
    primary: bool
    means: tuple[tuple[str, float, int], ...]
    """(option, mean, how many), points or seconds."""
    overall: RankTest | None
    comparisons: tuple[Comparison, ...]
    model: OrderModel | None
    family_p: float
    """The one p value this measure brings into the correction over all measures, dimensionless."""
    family_adjusted_p: float


@dataclass(frozen=True)
class Analysis:
    """Everything found."""

    design: str
    question: str
    answers: int
    riders: int
    answers_by_rider: tuple[tuple[str, int], ...]
    main: tuple[Comparison, ...]
    overall: RankTest | None
    expected_order: RankTest | None
    measures: tuple[MeasureFindings, ...]
    trends: tuple[Trend, ...]
    finding: Finding
    verdict: str
    """One plain sentence."""
    explanation: tuple[str, ...]
    beside_p: str
    """Who answered: stands beside every p value."""
    left_out: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
