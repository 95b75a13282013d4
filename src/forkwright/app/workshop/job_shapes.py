"""The published shapes of the answers about jobs, for the API's own description; the book makes the answers.

Texts stand as they were typed; where one is a quantity, the same in SI stands beside it, null if the text is
empty. Times are UTC, ISO 8601; days are ISO 8601 dates.
"""
# ruff: noqa: N815 - the unit is the key's ending

from __future__ import annotations

from typing import Literal

from forkwright.app.answer_shapes import Shape

UnitKind = Literal["fork", "shock"]
Stage = Literal["intake", "inspection", "waiting", "work", "check", "ready", "handed over", "cancelled"]
FindingResult = Literal["good", "watch", "worn", "stop", "not checked"]
MaterialKind = Literal["part", "oil", "grease", "other"]


class JobLine(Shape):
    """A job in one line of the board, and what is to be done next; `due_on` is null if no day is promised."""

    number: int
    stage: Stage
    unit: str
    customer: str
    complaint: str
    received_at: str
    due_on: str | None
    next_action: str


class BoardAnswer(Shape):
    """The jobs, those that can be finished first at the top."""

    jobs: list[JobLine]
    warnings: list[str]


class JobUnit(Shape):
    """The unit of a job; `file_version` counts the versions of its file, null without a file."""

    id: str
    kind: UnitKind
    name: str
    serial: str
    file_version: int | None


class NamedRecord(Shape):
    """A customer or a bike, by its record."""

    id: str
    name: str


class JobRider(Shape):
    """Who rides the unit: ready to ride with their mass (kg), how and where."""

    name: str
    mass: str
    mass_kg: float | None
    manner: str


class FindingLine(Shape):
    """One line of the inspection: what was found and measured (m), and the shop's limit (m) at that time."""

    item: str
    result: FindingResult
    measured: str
    measured_m: float | None
    limit: str
    limit_m: float | None
    resolved: str
    remark: str


class MaterialLine(Shape):
    """A part, oil or grease used; `amount_m3` is the volume (m³) of an oil, null for all else."""

    kind: MaterialKind
    name: str
    part_number: str
    amount: str
    place: str
    remark: str
    amount_m3: float | None
    id: str


class LeakDownLine(Shape):
    """A leak-down test: gauge pressures (Pa), temperatures (K), time between the readings (s)."""

    chamber: str
    start_pressure: str
    end_pressure: str
    start_temperature: str
    end_temperature: str
    verdict: str
    start_pressure_gauge_Pa: float | None
    end_pressure_gauge_Pa: float | None
    start_temperature_K: float | None
    end_temperature_K: float | None
    time_s: float
    id: str


class NextService(Shape):
    """When to come back: after so many hours of riding (h), on which day, and why."""

    hours_h: float | None
    on: str | None
    reason: str


class KeptSetting(Shape):
    """A setting as it was written down: pressures gauge (Pa), lengths m, clicks from fully closed."""

    pressure: str
    negative_pressure: str
    floating: str
    preload: str
    sag: str
    temperature: str
    altitude: str
    remark: str
    spacers: int | None
    low_speed: int | None
    high_speed: int | None
    rebound: int | None
    pressure_gauge_Pa: float | None
    negative_pressure_gauge_Pa: float | None
    floating_gauge_Pa: float | None
    preload_m: float | None
    sag_m: float | None
    temperature_K: float | None
    altitude_m: float | None


class KeptSettings(Shape):
    """The setting it came in with and the one it leaves with; each is left out until it is written down."""

    before: KeptSetting | None = None
    after: KeptSetting | None = None


class NoteLine(Shape):
    """A line in the job's book."""

    at: str
    author: str
    text: str
    id: str


class PhotoLine(Shape):
    """A picture, by the SHA-256 (hexadecimal) under which it is kept; its size in pixels."""

    digest: str
    caption: str
    width_px: int
    height_px: int
    id: str


class SignatureLine(Shape):
    """Who signed for what; `still_holds` is false when the job was changed since."""

    at: str
    role: Literal["technician", "customer"]
    name: str
    statement: str
    still_holds: bool


class VersionsOfSettings(Shape):
    """The versions of the two settings, to change them on top of; one not written down yet is left out."""

    before: int | None = None
    after: int | None = None


class JobSheet(Shape):
    """Everything about a job, with the versions that changes are made on top of.

    `riding_h` are the hours (h) since the last service, as the customer tells it. `digest` is the SHA-256
    (hexadecimal) that a signature would stand for now; `moves` are the stages the job may go to.
    """

    number: int
    received_at: str
    due_on: str | None
    complaint: str
    work_done: str
    unit: JobUnit
    customer: NamedRecord | None
    bike: NamedRecord | None
    rider: JobRider
    riding_h: float | None
    findings: list[FindingLine]
    materials: list[MaterialLine]
    leak_downs: list[LeakDownLine]
    next_service: NextService
    settings: KeptSettings
    version: int
    stage: Stage
    next_action: str
    obstacles: list[str]
    closed_at: str | None
    notes: list[NoteLine]
    photos: list[PhotoLine]
    signatures: list[SignatureLine]
    not_inspected: list[str]
    warnings: list[str]
    digest: str
    moves: list[Stage]
    finding_versions: dict[str, int]
    setting_versions: VersionsOfSettings
