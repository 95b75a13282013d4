"""What cannot be true of a unit's parts taken together; the damper's own faults are in `damper_faults`."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from forkwright.hardware.damper_faults import faults_over_travel
from forkwright.hardware.faults import Fault
from forkwright.units import Measure, show
from forkwright.units.write import as_written

if TYPE_CHECKING:
    from forkwright.hardware.air_spring import AirSpring, FloatingPiston
    from forkwright.hardware.parts import Chassis, CoilSpring
    from forkwright.hardware.unit import Unit


def faults_of_parts(unit: Unit) -> list[Fault]:
    """Return every reason why these parts make no unit."""
    faults: list[Fault] = []
    if unit.air_spring is None and unit.coil_spring is None:
        faults.append(Fault("air_spring", "the unit has no spring: give [air_spring] or [coil_spring]"))
    if unit.air_spring is not None:
        faults += _faults_of_air_spring(unit.air_spring, unit.travel)
    if unit.coil_spring is not None:
        faults += _faults_of_coil(unit.coil_spring)
    if unit.lower_legs is not None and unit.chassis is None:
        faults.append(Fault("chassis", "[lower_legs] needs [chassis] with stanchion_outer"))
    if unit.chassis is not None:
        faults += _faults_of_chassis(unit.chassis, unit.travel)
    if unit.damper is not None:
        faults += faults_over_travel(unit.damper, unit.travel.si)
    bottom, key = unit.bumpers.bottom_out, "bumpers.bottom_out.length"
    if bottom is not None and bottom.length.si > unit.travel.si:
        faults.append(_beyond(key, "longer than the travel", bottom.length, unit.travel))
    return faults


def _faults_of_air_spring(air: AirSpring, travel: Measure) -> list[Fault]:
    faults: list[Fault] = []
    if air.shaft.si >= air.bore.si:
        allowed = f"less than {as_written(air.bore, 'length')}"
        reason = "the shaft does not fit the bore"
        faults.append(Fault("air_spring.shaft", reason, as_written(air.shaft, "length"), allowed))
    reason = "the piston would compress the positive chamber below zero before full travel"
    faults += _fault_of_room("air_spring.positive_volume", reason, air.positive_volume, air.bore, travel)
    faults += _faults_of_negative_side(air)
    if air.transfer is not None and air.transfer.si > travel.si:
        reason = "the transfer point lies beyond the travel"
        faults.append(_beyond("air_spring.transfer", reason, air.transfer, travel))
    if air.floating is not None:
        faults += _faults_of_floating_piston(air.floating)
    return faults


def _faults_of_negative_side(air: AirSpring) -> list[Fault]:
    """Each kind of negative side has what it needs."""
    needed = {
        "transfer": ("negative_volume", "transfer"),
        "valve": ("negative_volume",),
        "coil": ("negative_coil",),
    }
    missing = [name for name in needed[air.negative] if getattr(air, name) is None]
    return [Fault(f"air_spring.{name}", "missing key") for name in missing]


def _faults_of_floating_piston(floating: FloatingPiston) -> list[Fault]:
    reason = "the floating piston would compress its own chamber below zero over its stroke"
    bore = floating.secondary_bore or floating.bore
    return _fault_of_room("air_spring.floating.volume", reason, floating.volume, bore, floating.stroke)


def _fault_of_room(key: str, reason: str, volume: Measure, bore: Measure, stroke: Measure) -> list[Fault]:
    """A chamber must hold more than its piston sweeps."""
    swept = math.pi / 4 * bore.si**2 * stroke.si
    if volume.si > swept:
        return []
    return [Fault(key, reason, as_written(volume, "volume"), f"more than {show(swept, 'volume')}")]


def _faults_of_coil(coil: CoilSpring) -> list[Fault]:
    """Wire, coil and turns must make a spring that has room to be pressed."""
    wire, mean, total = coil.wire_diameter, coil.mean_diameter, coil.total_turns
    if wire is not None and mean is not None and 2.0 * wire.si > mean.si:
        value, allowed = as_written(wire, "length"), f"up to {show(mean.si / 2, 'length')}"
        return [Fault("coil_spring.wire_diameter", "too thick to be coiled so tightly", value, allowed)]
    if total is not None and coil.active_turns is not None and total.si < coil.active_turns.si:
        allowed = f"{coil.active_turns.text} or more"
        return [Fault("coil_spring.total_turns", "fewer than the active turns", total.text, allowed)]
    if wire is not None and total is not None and coil.free_length is not None:
        solid = wire.si * total.si
        if coil.free_length.si <= solid:
            value, allowed = coil.free_length.text, f"more than {show(solid, 'length')}"
            return [Fault("coil_spring.free_length", "the turns touch already", value, allowed)]
    return []


def _faults_of_chassis(chassis: Chassis, travel: Measure) -> list[Fault]:
    """Axle to lower bushing, bushing spacing and travel must fit below the crown; a tube has a bore."""
    faults: list[Fault] = []
    lengths = (chassis.axle_to_lower_bushing, chassis.bushing_spacing, travel)
    known = [length.si for length in lengths if length is not None]
    if chassis.axle_to_crown is not None and len(known) == len(lengths):
        needed = sum(known)
        if chassis.axle_to_crown.si <= needed:
            reason = "the upper bushing would pass the crown before full travel"
            allowed = f"more than {show(needed, 'length')}"
            faults.append(Fault("chassis.axle_to_crown", reason, chassis.axle_to_crown.text, allowed))
    wall = chassis.stanchion_wall
    if wall is not None and 2 * wall.si >= chassis.stanchion_outer.si:
        allowed = f"less than {show(chassis.stanchion_outer.si / 2, 'length')}"
        value = as_written(wall, "length")
        faults.append(Fault("chassis.stanchion_wall", "the tube would be solid", value, allowed))
    return faults


def _beyond(key: str, reason: str, length: Measure, most: Measure) -> Fault:
    return Fault(key, reason, as_written(length, "length"), f"up to {as_written(most, 'length')}")
