"""A suspension unit as it lies on the bench: every measured part, and the setting it came in with."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from forkwright.hardware.air_spring import AirSpring
from forkwright.hardware.damper import Damper
from forkwright.hardware.faults import refuse_first
from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.limits import faults_of_setting
from forkwright.hardware.parts import Bumpers, Chassis, CoilSpring, LowerLegs
from forkwright.hardware.setting import Setting
from forkwright.hardware.unit_faults import faults_of_parts
from forkwright.units import Measure


class Unit(Part):
    """A fork or a shock: immutable, validated, and the only thing the benches are given."""

    format: Literal[1]
    kind: Literal["fork", "shock"]
    name: Annotated[str, Field(min_length=1, max_length=200)]
    travel: Annotated[Measure, quantity("length", "1 mm", "400 mm")]
    chassis: Chassis | None = None
    lower_legs: LowerLegs | None = None
    air_spring: AirSpring | None = None
    coil_spring: CoilSpring | None = None
    bumpers: Bumpers = Bumpers()
    damper: Damper | None = None
    setting: Setting = Setting()

    @cached_property
    def fingerprint(self) -> str:
        """Short hash of the whole content, carried by every result made from it."""
        return hashlib.sha256(self.model_dump_json().encode()).hexdigest()[:16]

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy; its fingerprint is its own."""
        copied = super().model_copy(update=update, deep=deep)
        copied.__dict__.pop("fingerprint", None)
        return copied

    @model_validator(mode="after")
    def _parts_fit_together(self) -> Unit:
        refuse_first([*faults_of_parts(self), *faults_of_setting(self, self.setting)])
        return self
