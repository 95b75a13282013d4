"""The published shapes of the answers about units, customers, figures and finds; the book makes the answers.

Times are UTC, ISO 8601.
"""

from __future__ import annotations

from typing import Literal

from forkwright.app.answer_shapes import Shape
from forkwright.app.workshop.job_shapes import JobLine, UnitKind

FigureKind = Literal["torque", "pressure", "oil", "wear", "interval", "other"]


class CustomerFacts(Shape):
    """A customer, with the version to change it on top of."""

    id: str
    name: str
    phone: str
    email: str
    remark: str
    version: int


class CustomerAnswer(CustomerFacts):
    """A customer as they stand in the book now."""

    warnings: list[str]


class KeptFile(Shape):
    """One version of a unit's file, by the SHA-256 (hexadecimal) of its text."""

    ordinal: int
    at: str
    reason: str
    digest: str


class FigureFacts(Shape):
    """One of the shop's own figures, as typed from the maker's manual; no unit's name: for every unit."""

    id: str
    kind: FigureKind
    item: str
    value: str
    unit_name: str
    source: str


class FigureAnswer(FigureFacts):
    """A figure that was entered; a missing source is a warning."""

    warnings: list[str]


class FigureGone(Shape):
    """The figure that was marked as deleted."""

    id: str
    warnings: list[str]


class UnitEvent(Shape):
    """One thing that happened to a unit, in the order of writing; `job` is null for the unit itself.

    `clock_back` tells that the computer's clock stood earlier than for the event before.
    """

    sequence: int
    at: str
    job: int | None
    actor: str
    kind: str
    text: str
    clock_back: bool


class UnitAnswer(Shape):
    """A unit with every version of its file, its jobs, and all that ever happened to it."""

    id: str
    kind: UnitKind
    name: str
    serial: str
    remark: str
    version: int
    customer: CustomerFacts | None
    bike: str
    jobs: list[JobLine]
    files: list[KeptFile]
    figures: list[FigureFacts]
    events: list[UnitEvent]
    warnings: list[str]


class SearchHit(Shape):
    """A record in which every word occurs, its job's number and the page to open; null if there is none."""

    kind: str
    id: str
    job: int | None
    text: str
    place: str | None


class SearchAnswer(Shape):
    """What a search found, the newest first within a kind."""

    hits: list[SearchHit]
    warnings: list[str]
