"""The published shapes of the blind test's answers: what is told to whom, and never what is behind a code.

Times are ISO 8601 with their zone. A link is told as its token, which stands in the address behind the ``#``.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, RootModel

from forkwright.app.answer_shapes import Shape
from forkwright.app.api.shapes import JobTaken

Design = Literal["paired", "triangle", "duo-trio", "ranked", "rated"]
TrialState = Literal["running", "closed", "open"]
Setting = dict[str, str | int | float | bool]


class TrialLine(Shape):
    """A trial on this machine: its folder, name and state; `links_out` once its links were handed out."""

    trial: str
    name: str
    planned_at: str
    state: TrialState
    links_out: bool


class TrialsAnswer(Shape):
    """The trials on this machine, the latest first."""

    trials: list[TrialLine]


class TrialSize(Shape):
    """How large a trial is and what it can find; all counts and chances from 0 to 1.

    `repeats` are the sessions of each rider, `answers` those to each question tested, `power` the chance that
    the difference worth finding is found, `alpha_each` the risk accepted in one comparison.
    """

    riders: int
    repeats: int
    answers: int
    power: float
    alpha_each: float
    how: str


class SizeAnswer(Shape):
    """The size for a request, the runs ridden in all, other sizes, and the labels that riders would read."""

    size: TrialSize
    runs: int
    others: list[TrialSize]
    names_told: list[str]


class SizeReply(RootModel[SizeAnswer | JobTaken]):
    """The size, or the key of the job that simulates it."""


class LinksAnswer(Shape):
    """Everybody's link; the mechanic's is not told again."""

    leader: str
    mechanic: str
    riders: dict[str, str]


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


class PlannedAnswer(Shape):
    """A drawn plan: everybody's link, and what its leader sees."""

    links: LinksAnswer
    plan: LeaderSeat


class RecordReceipt(Shape):
    """What became of one record; a refused one never reached the trial, so the phone has to keep it."""

    id: str
    status: Literal["kept", "already kept", "set aside", "refused"]
    reason: str


class ReceiptsAnswer(Shape):
    """A receipt for every record, in the order they were sent."""

    receipts: list[RecordReceipt]


class CardAnswer(Shape):
    """The mechanic's card: one code, its setting (quantities with their unit), what to check before the run.

    `place` and `of` are the run's place in its session and how many runs that has.
    """

    code: str
    rider: str
    session: int
    place: int
    of: int
    label: str
    setting: Setting
    safety_checks: dict[str, str]
    mask_checks: dict[str, str]
    same_on_every_run: list[str]


class MechanicLinkAnswer(Shape):
    """The mechanic's new link, told once, and how many there have been."""

    mechanic: str
    mechanic_links: int


class RiderLinkAnswer(Shape):
    """A rider's new link, and how many that rider has been given so far."""

    rider: str
    link: str
    link_count: int


class ClosedAnswer(Shape):
    """The trial's state, and the sessions that have no complete answer."""

    state: TrialState
    missing: list[str]


class OpenedAnswer(OpenedKey):
    """The opened key, held against its commitment (SHA-256, hexadecimal).

    `draw_repeats` tells that seed and salt give the same order again; `broken_blind` that the key was opened
    while records were still taken.
    """

    state: TrialState
    commitment: str
    draw_repeats: bool
    broken_blind: bool
    warnings: list[str]
