"""The published shapes of what each link shows: the rider's seat, the mechanic's, the leader's.

Times are ISO 8601 with their zone. A link is told as its token, which stands in the address behind the ``#``.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, RootModel

from forkwright.app.answer_shapes import Shape

Design = Literal["paired", "triangle", "duo-trio", "ranked", "rated"]
TrialState = Literal["running", "closed", "open"]
Setting = dict[str, str | int | float | bool]


class RatingScale(Shape):
    """A rating scale of whole points whose two ends are anchored in words."""

    name: str
    low: str
    high: str
    points: int
    better: Literal["high", "low"]


class RiderSession(Shape):
    """The runs of one rider that belong to one answer, by their codes."""

    session: int
    day: int
    codes: list[str]
    answered: bool


class RiderSeat(Shape):
    """What a rider's phone shows and needs to work without a network: no labels and no settings.

    `stopped` tells that nobody rides now; `made_ready`, `skipped` and `rated` hold the rider's own codes.
    `link_count` counts the links that the rider was given so far; all but the last are dead.
    """

    role: Literal["rider"]
    person: str
    trial: str
    name: str
    question: str
    design: Design
    rider: str
    state: TrialState
    sessions: list[RiderSession]
    scales: list[RatingScale]
    times: list[str]
    safety: list[str]
    stop_rules: list[str]
    stopped: bool
    made_ready: list[str]
    skipped: list[str]
    warm_ups: list[str]
    rated: list[str]
    link_count: int


class MechanicSeat(Shape):
    """What the mechanic sees beside the card; `stopped` says why nobody rides now, empty while they may."""

    role: Literal["mechanic"]
    person: str
    trial: str
    name: str
    state: TrialState
    stopped: str
    riders: list[str]
    leader: str
    safety: list[str]
    stop_rules: list[str]
    runs: int
    warnings: list[str]
    runs_done: int
    mechanic_links: int


class PlannedSession(Shape):
    """The runs of one answer as planned: whose, in which round, on which day, which codes in order."""

    number: int
    rider: str
    round: int
    day: int
    codes: list[str]


class OpenedOption(Shape):
    """One of the things compared, and its setting as the mechanic made it: quantities with their unit."""

    label: str
    setting: Setting


class OpenedKey(Shape):
    """Which option was behind which code, the settings, and the salt (hexadecimal) of the draw."""

    allocation: dict[str, str]
    salt: str
    options: list[OpenedOption]


class LeaderSeat(Shape):
    """The plan as it is printed, and how far the trial is: labels, but not which code hides which.

    `commitment` is the SHA-256 (hexadecimal) of the sealed key, `alpha` the accepted risk, `power` the chance
    that the difference worth finding is found. `rider_link_counts` and `mechanic_links` count the links that
    each was given so far; all but the last are dead. `opened` is there once the key is open.
    """

    role: Literal["leader"]
    person: str
    trial: str
    name: str
    design: Design
    question: str
    labels: list[str]
    riders: list[str]
    leader: str
    mechanic: str
    planned_at: str
    seed: int
    commitment: str
    alpha: float
    power: float
    power_how: str
    repeats: int
    answers: int
    runs: int
    days: int
    sessions: list[PlannedSession]
    checks: dict[str, str]
    same_on_every_run: list[str]
    rules: list[str]
    safety: list[str]
    stop_rules: list[str]
    state: TrialState
    stopped: str
    broken_blind: bool
    missing: list[str]
    warnings: list[str]
    made_ready: list[str]
    skipped: list[str]
    warmed_up: list[str]
    warmed_up_today: list[str]
    rated: list[str]
    typed: list[int]
    scales: list[RatingScale]
    times: list[str]
    set_aside: list[str]
    rider_links: dict[str, str]
    rider_link_counts: dict[str, int]
    mechanic_links: int
    opened: OpenedKey | None = None


class SeatAnswer(RootModel[Annotated[RiderSeat | MechanicSeat | LeaderSeat, Field(discriminator="role")]]):
    """What the person with a link sees, by their role."""
