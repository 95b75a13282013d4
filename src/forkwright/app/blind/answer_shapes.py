"""The published shapes of the blind test's answers: planning, receipts, cards, the end; see `seat_shapes`."""

from __future__ import annotations

from typing import Literal

from pydantic import RootModel

from forkwright.app.answer_shapes import Shape
from forkwright.app.api.shapes import JobTaken
from forkwright.app.blind.seat_shapes import LeaderSeat, OpenedKey, Setting, TrialState


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
