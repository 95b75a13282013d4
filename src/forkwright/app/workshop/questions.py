"""What a browser sends to the workshop's book."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from forkwright.shop.words import clean_text


def _kept(text: str) -> str:
    """Return text as the store keeps it; a character that it cannot keep is refused here."""
    return clean_text(text, what="text")


Line = Annotated[str, Field(max_length=300), AfterValidator(_kept)]
Words = Annotated[str, Field(max_length=20_000), AfterValidator(_kept)]
Count = Annotated[int, Field(ge=0, le=200)] | None
Hours = Annotated[float, Field(ge=0.0, le=100_000.0, allow_inf_nan=False)] | None
Version = Annotated[int, Field(ge=0, le=2**31 - 1)]
JobNumber = Annotated[int, Field(ge=0, le=2**31 - 1)]


class Question(BaseModel):
    """Anything sent; an entry that is not listed is refused."""

    model_config = ConfigDict(extra="forbid")


class Intake(Question):
    """What the rider tells when the unit comes in; the mass with its unit, hours since the last service."""

    complaint: Words = ""
    rider_name: Line = ""
    rider_mass: Line = ""
    rider_manner: Line = ""
    riding_hours: Hours = None
    due_on: date | None = None


class NewJob(Intake):
    """A unit taken in: a known one by its id, a new one by its file, or by kind and name."""

    unit_id: Line = ""
    toml: Annotated[str, Field(max_length=500_000)] = ""
    kind: Literal["", "fork", "shock"] = ""
    name: Line = ""
    serial: Line = ""
    customer: Line = ""
    phone: Line = ""
    email: Line = ""
    bike: Line = ""
    bike_toml: Annotated[str, Field(max_length=500_000)] = ""


class IntakeChange(Intake):
    """The intake as it shall stand, and the version of the job it was read at."""

    read_version: Version


class StageChange(Question):
    """The stage to go to."""

    stage: Line
    read_version: Version


class NewNote(Question):
    """A line in the job's book."""

    text: Words


class FindingChange(Question):
    """One line of the inspection; an empty result lets the measured wear decide."""

    read_version: Version = 0
    result: Line = ""
    measured: Line = ""
    remark: Words = ""
    resolved: Words = ""


class NewMaterial(Question):
    """A part, oil or grease used; an oil's amount with its unit."""

    kind: Line
    name: Line
    amount: Line = ""
    place: Line = ""
    part_number: Line = ""
    remark: Words = ""


class NewLeakDown(Question):
    """A leak-down test: gauge pressures with their unit, hours between the readings."""

    chamber: Line
    start_pressure: Line
    end_pressure: Line
    hours: Annotated[float, Field(gt=0.0, le=10_000.0, allow_inf_nan=False)]
    start_temperature: Line = ""
    end_temperature: Line = ""
    verdict: Words = ""


class SettingChange(Question):
    """A setting as it shall stand: pressures gauge, clicks from fully closed."""

    read_version: Version = 0
    pressure: Line = ""
    negative_pressure: Line = ""
    floating: Line = ""
    preload: Line = ""
    spacers: Count = None
    low_speed: Count = None
    high_speed: Count = None
    rebound: Count = None
    sag: Line = ""
    temperature: Line = ""
    altitude: Line = ""
    remark: Words = ""


class Conclusion(Question):
    """What was done, and when to come back: by the shop's hours, their hours a week, their season's month."""

    read_version: Version
    work_done: Words = ""
    hours: Hours = None
    hours_a_week: Hours = None
    before_month: Annotated[int, Field(ge=1, le=12)] | None = None


class NewSignature(Question):
    """Who signs for the job as it stands; the digest is that of what they saw."""

    role: Literal["technician", "customer"]
    name: Line
    seen: Annotated[str, Field(max_length=64)] = ""


class HandOver(Question):
    """Give the unit back."""

    read_version: Version


class NewUnitFile(Question):
    """A new version of the unit's file."""

    toml: Annotated[str, Field(max_length=500_000)]
    reason: Line = ""


class NewFigure(Question):
    """One of the shop's own figures from the maker's manual."""

    kind: Line
    item: Line
    value: Line
    unit_name: Line = ""
    source: Line = ""


class CustomerChange(Question):
    """A customer as they shall stand in the book."""

    read_version: Version
    name: Line
    phone: Line = ""
    email: Line = ""
    remark: Words = ""
