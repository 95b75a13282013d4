"""What a job holds, from intake to hand-over."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from forkwright.shop.columns import Record
from forkwright.shop.records import may_point_to, one_of, points_to

STAGES = ("intake", "inspection", "waiting", "work", "check", "ready", "handed over", "cancelled")
FINDING_RESULTS = ("good", "watch", "worn", "stop", "not checked")
MATERIAL_KINDS = ("part", "oil", "grease", "other")
MOMENTS = ("before", "after")
SIGNATURE_ROLES = ("technician", "customer")


class Job(Record):
    """One visit of one unit."""

    __tablename__ = "job"
    __table_args__ = (one_of("stage", STAGES), UniqueConstraint("number"))
    SEARCHED = ("complaint", "rider_name", "work_done", "number")

    number: Mapped[int]
    unit_id: Mapped[str] = points_to("unit")
    customer_id: Mapped[str | None] = may_point_to("customer")
    bike_id: Mapped[str | None] = may_point_to("bike")
    stage: Mapped[str] = mapped_column(default="intake")
    complaint: Mapped[str] = mapped_column(default="")
    rider_name: Mapped[str] = mapped_column(default="")
    rider_mass: Mapped[str] = mapped_column(default="")  # ready to ride, with its unit
    rider_manner: Mapped[str] = mapped_column(default="")  # how and where they ride
    riding_hours: Mapped[float | None]  # h since the last service, as the customer tells it
    due_on: Mapped[date | None]
    work_done: Mapped[str] = mapped_column(default="")
    closed_at: Mapped[datetime | None]
    next_service_hours: Mapped[float | None]  # h of riding from now
    next_service_on: Mapped[date | None]
    next_service_reason: Mapped[str] = mapped_column(default="")


class Note(Record):
    """A line in the job's book."""

    __tablename__ = "note"
    SEARCHED = ("text",)

    job_id: Mapped[str] = points_to("job")
    text: Mapped[str]
    author: Mapped[str] = mapped_column(default="")


class Photo(Record):
    """A picture, by the digest of its re-encoded bytes; they lie in the picture folder under that name."""

    __tablename__ = "photo"
    SEARCHED = ("caption",)

    job_id: Mapped[str] = points_to("job")
    digest: Mapped[str] = mapped_column(String(64))
    width: Mapped[int]  # pixels
    height: Mapped[int]  # pixels
    size: Mapped[int]  # bytes
    caption: Mapped[str] = mapped_column(default="")


class Finding(Record):
    """One line of an inspection check list."""

    __tablename__ = "finding"
    __table_args__ = (one_of("result", FINDING_RESULTS), UniqueConstraint("job_id", "item"))
    SEARCHED = ("remark",)

    job_id: Mapped[str] = points_to("job")
    item: Mapped[str] = mapped_column(String(64))  # a check-list key
    result: Mapped[str]
    measured: Mapped[str] = mapped_column(default="")  # as typed, with its unit
    measured_m: Mapped[float | None]  # m
    limit: Mapped[str] = mapped_column(default="")  # the shop's own, as typed
    limit_m: Mapped[float | None]  # m
    resolved: Mapped[str] = mapped_column(default="")  # what was done about it
    remark: Mapped[str] = mapped_column(default="")


class Material(Record):
    """A part, oil or grease used up."""

    __tablename__ = "material"
    __table_args__ = (one_of("kind", MATERIAL_KINDS),)
    SEARCHED = ("name", "part_number", "remark")

    job_id: Mapped[str] = points_to("job")
    kind: Mapped[str]
    name: Mapped[str]
    part_number: Mapped[str] = mapped_column(default="")
    amount: Mapped[str] = mapped_column(default="")  # "1", or a volume with its unit
    place: Mapped[str] = mapped_column(default="")  # where it went
    remark: Mapped[str] = mapped_column(default="")


class LeakDown(Record):
    """The outcome of a leak-down test of one chamber; the reading itself is judged elsewhere."""

    __tablename__ = "leak_down"

    job_id: Mapped[str] = points_to("job")
    chamber: Mapped[str]
    start_pressure: Mapped[str]  # gauge, with its unit
    end_pressure: Mapped[str]  # gauge, with its unit
    hours: Mapped[float]  # h between the readings
    start_temperature: Mapped[str] = mapped_column(default="")
    end_temperature: Mapped[str] = mapped_column(default="")
    verdict: Mapped[str] = mapped_column(default="")


class SettingRecord(Record):
    """The setting a unit came in with, or leaves with. Clicks are counted from fully closed."""

    __tablename__ = "setting_record"
    __table_args__ = (one_of("moment", MOMENTS), UniqueConstraint("job_id", "moment"))

    job_id: Mapped[str] = points_to("job")
    moment: Mapped[str]
    pressure: Mapped[str] = mapped_column(default="")  # gauge, with its unit
    negative_pressure: Mapped[str] = mapped_column(default="")
    floating: Mapped[str] = mapped_column(default="")
    preload: Mapped[str] = mapped_column(default="")
    spacers: Mapped[int | None]
    low_speed: Mapped[int | None]  # clicks
    high_speed: Mapped[int | None]  # clicks
    rebound: Mapped[int | None]  # clicks
    sag: Mapped[str] = mapped_column(default="")
    temperature: Mapped[str] = mapped_column(default="")
    altitude: Mapped[str] = mapped_column(default="")
    remark: Mapped[str] = mapped_column(default="")


class Signature(Record):
    """Who stood for the job, for what words, and the digest of what they saw."""

    __tablename__ = "signature"
    __table_args__ = (one_of("role", SIGNATURE_ROLES),)

    job_id: Mapped[str] = points_to("job")
    role: Mapped[str]
    name: Mapped[str]
    statement: Mapped[str] = mapped_column(default="")
    job_digest: Mapped[str] = mapped_column(String(64))
