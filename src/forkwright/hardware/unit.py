"""A suspension unit as it lies on the bench: every measured part, and the setting it came in with."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from forkwright.hardware.air_spring import AirSpring
from forkwright.hardware.damper import Damper
from forkwright.hardware.damper_faults import faults_over_travel
from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.limits import faults_of_setting
from forkwright.hardware.parts import Bumpers, Chassis, CoilSpring, LowerLegs
from forkwright.hardware.setting import Setting
from forkwright.units import Measure, show


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
        for key, reason, value, allowed in (*_faults_of_parts(self), *faults_of_setting(self, self.setting)):
            raise PydanticCustomError(
                "fit", "{reason}", {"reason": reason, "key": key, "value": value, "allowed": allowed}
            )
        return self


Fault = tuple[str, str, str, str]  # key, reason, value as text, allowed


def _faults_of_parts(unit: Unit) -> list[Fault]:
    """Return what cannot be true of the parts taken together."""
    faults: list[Fault] = []
    if unit.air_spring is None and unit.coil_spring is None:
        faults.append(("air_spring", "the unit has no spring: give [air_spring] or [coil_spring]", "", ""))
    if unit.air_spring is not None:
        faults += _faults_of_air_spring(unit, unit.air_spring)
    if unit.coil_spring is not None:
        faults += _faults_of_coil(unit.coil_spring)
    if unit.lower_legs is not None and unit.chassis is None:
        faults.append(("chassis", "[lower_legs] needs [chassis] with stanchion_outer", "", ""))
    if unit.chassis is not None:
        faults += _faults_of_lengths(unit, unit.chassis)
    if unit.damper is not None:
        faults += faults_over_travel(unit.damper, unit.travel.si)
    if unit.chassis is not None and unit.chassis.stanchion_wall is not None:
        outer, wall = unit.chassis.stanchion_outer.si, unit.chassis.stanchion_wall.si
        if 2 * wall >= outer:
            faults.append(
                _too_large("chassis.stanchion_wall", "the tube would be solid", wall, outer / 2, "length")
            )
    bottom = unit.bumpers.bottom_out
    if bottom is not None and bottom.length.si > unit.travel.si:
        faults.append(
            _too_large(
                "bumpers.bottom_out.length",
                "longer than the travel",
                bottom.length.si,
                unit.travel.si,
                "length",
            )
        )
    return faults


def _faults_of_air_spring(unit: Unit, air: AirSpring) -> list[Fault]:
    faults: list[Fault] = []
    travel = unit.travel.si
    if air.shaft.si >= air.bore.si:
        faults.append(
            _too_large(
                "air_spring.shaft", "the shaft does not fit the bore", air.shaft.si, air.bore.si, "length"
            )
        )
    swept = math.pi / 4 * air.bore.si**2 * travel
    if air.positive_volume.si <= swept:
        faults.append(
            (
                "air_spring.positive_volume",
                "the piston would compress the positive chamber below zero before full travel",
                air.positive_volume.text,
                f"more than {show(swept, 'volume')}",
            )
        )
    if air.negative in ("transfer", "valve") and air.negative_volume is None:
        faults.append(("air_spring.negative_volume", "missing key", "", ""))
    if air.negative == "transfer" and air.transfer is None:
        faults.append(("air_spring.transfer", "missing key", "", ""))
    if air.negative == "coil" and air.negative_coil is None:
        faults.append(("air_spring.negative_coil", "missing key", "", ""))
    if air.transfer is not None and air.transfer.si > travel:
        faults.append(
            _too_large(
                "air_spring.transfer",
                "the transfer point lies beyond the travel",
                air.transfer.si,
                travel,
                "length",
            )
        )
    if air.floating is not None:
        bore = (air.floating.secondary_bore or air.floating.bore).si
        swept = math.pi / 4 * bore**2 * air.floating.stroke.si
        if air.floating.volume.si <= swept:
            faults.append(
                (
                    "air_spring.floating.volume",
                    "the floating piston would compress its own chamber below zero over its stroke",
                    air.floating.volume.text,
                    f"more than {show(swept, 'volume')}",
                )
            )
    return faults


def _faults_of_coil(coil: CoilSpring) -> list[Fault]:
    """Wire, coil and turns must make a spring that has room to be pressed."""
    wire, mean, total = coil.wire_diameter, coil.mean_diameter, coil.total_turns
    if wire is not None and mean is not None and 2.0 * wire.si > mean.si:
        return [_too_large("coil_spring.wire_diameter", "too thick to be coiled so tightly", wire.si,
                           mean.si / 2, "length")]  # fmt: skip
    if total is not None and coil.active_turns is not None and total.si < coil.active_turns.si:
        allowed = f"{coil.active_turns.text} or more"
        return [("coil_spring.total_turns", "fewer than the active turns", total.text, allowed)]
    if wire is not None and total is not None and coil.free_length is not None:
        solid = wire.si * total.si
        if coil.free_length.si <= solid:
            allowed = f"more than {show(solid, 'length')}"
            return [("coil_spring.free_length", "the turns touch already", coil.free_length.text, allowed)]
    return []


def _faults_of_lengths(unit: Unit, chassis: Chassis) -> list[Fault]:
    """Axle to lower bushing, bushing spacing and travel must fit between axle and crown."""
    lengths = (chassis.axle_to_lower_bushing, chassis.bushing_spacing, unit.travel)
    if chassis.axle_to_crown is None or any(length is None for length in lengths):
        return []
    needed = sum(length.si for length in lengths if length is not None)
    if chassis.axle_to_crown.si > needed:
        return []
    return [
        (
            "chassis.axle_to_crown",
            "the upper bushing would pass the crown before full travel",
            chassis.axle_to_crown.text,
            f"more than {show(needed, 'length')}",
        )
    ]


def _too_large(key: str, reason: str, value: float, limit: float, dimension: str) -> Fault:
    return key, reason, show(value, dimension), f"less than {show(limit, dimension)}"
