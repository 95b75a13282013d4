"""What cannot be true of a damper's parts taken together; keys are those below [damper]."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from forkwright.hardware.faults import Fault
from forkwright.hardware.shim_parts import as_stack
from forkwright.physics.errors import Unphysical
from forkwright.physics.reservoir import FULLEST_GAS
from forkwright.physics.shim_stack import BackingSpring, Fulcrum
from forkwright.physics.viscosity_index import viscosity_from_index
from forkwright.units import show

if TYPE_CHECKING:
    from forkwright.hardware.damper import Damper, Oil, Reservoir
    from forkwright.hardware.valves import Check, HighSpeed, Needle, Valve

_RESERVOIR_NEEDS = {
    "spring": ("bore", "rate", "preload", "stroke"),
    "gas": ("pressure", "volume"),
    "bladder": ("pressure", "full_pressure", "volume"),
}
_STACK_NEEDS = ("ports", "bore", "clamp", "seat", "load")
_CONE_NEEDS = ("bore", "half_angle", "lift_per_click")


def faults_of_damper(damper: Damper) -> list[Fault]:
    """Return every reason why these parts make no damper."""
    return [
        *_faults_of_tube(damper),
        *_faults_of_oil(damper.oil),
        *_faults_of_reservoir(damper.reservoir),
        *_faults_of_valves(damper),
    ]


def faults_over_travel(damper: Damper, travel: float) -> list[Fault]:
    """Refuse what ends before full travel (m): reservoir or oil chamber; keys start at the file's top."""
    swept = math.pi / 4 * damper.shaft.si**2 * travel
    room = _room_in(damper.reservoir)
    oil, emptied = damper.compression_volume, math.pi / 4 * damper.tube.si**2 * travel
    if oil is not None and oil.si <= emptied:
        reason = "the piston would empty the compression chamber before full travel"
        allowed = f"more than {show(emptied, 'volume')}"
        return [Fault("damper.compression_volume", reason, oil.text, allowed)]
    if swept <= room:
        return []
    key = "volume" if damper.reservoir.kind != "spring" else "stroke"
    reason = "the reservoir bottoms before full travel: the shaft displaces more than it can take"
    return [Fault(f"damper.reservoir.{key}", reason, show(swept, "volume"), f"up to {show(room, 'volume')}")]


def _faults_of_tube(damper: Damper) -> list[Fault]:
    if damper.shaft.si < damper.tube.si:
        return []
    allowed = f"less than {damper.tube.text}"
    return [Fault("shaft", "the shaft does not fit the tube", damper.shaft.text, allowed)]


def _faults_of_oil(oil: Oil) -> list[Fault]:
    """Two points in rising order of temperature, or the two numbers of the label; never both."""
    label = oil.viscosity_40 is not None or oil.viscosity_index is not None
    if oil.points is not None and label:
        return [Fault("oil.points", "give two points or viscosity_40 with viscosity_index, not both")]
    if oil.points is None:
        missing = [name for name in ("viscosity_40", "viscosity_index") if getattr(oil, name) is None]
        return [
            Fault(f"oil.{name}", "missing key: the oil needs this or two points") for name in missing
        ] or _faults_of_label(oil)
    if len(oil.points) != 2:
        return [Fault("oil.points", "the viscosity line needs two points", str(len(oil.points)), "2")]
    cold, hot = oil.points
    if hot.temperature.si <= cold.temperature.si:
        reason = "the points are in the wrong order: the second must be the hotter one"
        return [Fault("oil.points", reason, hot.temperature.text, f"more than {cold.temperature.text}")]
    if hot.viscosity.si >= cold.viscosity.si:
        reason = "the points are in the wrong order: oil gets thinner as it warms"
        return [Fault("oil.points", reason, hot.viscosity.text, f"less than {cold.viscosity.text}")]
    return []


def _faults_of_label(oil: Oil) -> list[Fault]:
    if oil.viscosity_40 is None or oil.viscosity_index is None:
        return []
    try:
        viscosity_from_index(oil.viscosity_40.si, oil.viscosity_index.si)
    except Unphysical as fault:
        return [Fault("oil.viscosity_index", str(fault), oil.viscosity_index.text)]
    return []


def _faults_of_reservoir(reservoir: Reservoir) -> list[Fault]:
    """Each kind has what it needs."""
    faults: list[Fault] = [
        Fault(f"reservoir.{name}", f"missing key: a {reservoir.kind} reservoir needs it")
        for name in _RESERVOIR_NEEDS[reservoir.kind]
        if getattr(reservoir, name) is None
    ]
    if reservoir.friction is not None and reservoir.bore is None:
        faults.append(Fault("reservoir.bore", "missing key: the piston's friction needs its bore"))
    if (reservoir.stroke is None) != (reservoir.bore is None) and reservoir.kind == "gas":
        faults.append(Fault("reservoir.stroke", "bore and stroke of the piston come together"))
    return faults


def _room_in(reservoir: Reservoir) -> float:
    """Volume that the reservoir can take (m3)."""
    rooms = [math.inf]
    if reservoir.kind != "spring" and reservoir.volume is not None:
        rooms.append(reservoir.volume.si * (FULLEST_GAS if reservoir.kind == "gas" else 1.0))
    if reservoir.bore is not None and reservoir.stroke is not None:
        rooms.append(math.pi / 4 * reservoir.bore.si**2 * reservoir.stroke.si)
    return min(rooms)


def _faults_of_valves(damper: Damper) -> list[Fault]:
    """Every valve on its own, then what only some of them may have."""
    faults: list[Fault] = []
    for name in ("base_valve", "rebound_valve", "mid_valve"):
        valve: Valve = getattr(damper, name)
        faults += _faults_of_valve(name, valve)
        if valve.high_speed is not None and name != "base_valve":
            faults.append(Fault(f"{name}.high_speed", "only the base valve has a high-speed adjuster"))
        if valve.needle is not None and name == "mid_valve":
            faults.append(Fault(f"{name}.needle", "needles sit in the base valve or the rebound valve"))
    if damper.rebound_valve.check is not None:
        faults.append(Fault("rebound_valve.check", "the piston's check belongs to [damper.mid_valve]"))
    return faults


def _faults_of_valve(name: str, valve: Valve) -> list[Fault]:
    faults: list[Fault] = []
    if valve.shims:
        missing = [key for key in _STACK_NEEDS if getattr(valve, key) is None]
        faults += [Fault(f"{name}.{key}", "missing key: a shim stack needs it") for key in missing]
        if not missing:
            faults += _faults_of_stack(name, valve)
    elif valve.high_speed is not None:
        faults.append(Fault(f"{name}.high_speed", "the adjuster needs a shim stack to act on"))
    if valve.needle is not None:
        faults += _faults_of_needle(f"{name}.needle", valve.needle)
    if valve.check is not None:
        faults += _faults_of_check(f"{name}.check", valve.check)
    if name == "mid_valve" and valve.shims and valve.check is not None:
        faults.append(Fault(f"{name}.check", "the mid-valve is a stack or a check, not both"))
    return faults


def _faults_of_stack(name: str, valve: Valve) -> list[Fault]:
    if valve.high_speed is not None:
        faults = _faults_of_adjuster(f"{name}.high_speed", valve.high_speed)
        if faults:
            return faults
    try:
        stack, load, seat = as_stack(valve)
    except Unphysical as fault:
        return [Fault(f"{name}.shims", str(fault))]
    try:
        for fulcrum, spring in _adjuster_ends(valve.high_speed):
            stack.check_use(load, seat, fulcrum, spring)
    except Unphysical as fault:
        return [Fault(f"{name}.high_speed", str(fault))]
    return []


def _adjuster_ends(adjuster: HighSpeed | None) -> list[tuple[Fulcrum | None, BackingSpring | None]]:
    """What the high-speed adjuster puts behind the stack, fully closed and fully open."""
    if adjuster is None:
        return []
    if adjuster.kind == "fulcrum":
        return [(Fulcrum(0.5 * end.si), None) for end in (adjuster.closed, adjuster.open)]
    if adjuster.diameter is None or adjuster.rate is None:
        return []
    return [(None, BackingSpring(0.5 * adjuster.diameter.si, adjuster.rate.si))]


def _faults_of_adjuster(key: str, adjuster: HighSpeed) -> list[Fault]:
    needs = ("diameter", "rate") if adjuster.kind == "preload" else ()
    missing = [name for name in needs if getattr(adjuster, name) is None]
    if missing:
        return [Fault(f"{key}.{missing[0]}", "missing key: a preload adjuster needs it")]
    if adjuster.closed.si < adjuster.open.si:
        reason = "fully closed must be the stiffer end (the larger ring, the more compressed spring)"
        return [Fault(f"{key}.closed", reason, adjuster.closed.text, f"{adjuster.open.text} or more")]
    return []


def _faults_of_needle(key: str, needle: Needle) -> list[Fault]:
    if needle.holes is not None:
        if len(needle.holes) != needle.clicks + 1:
            reason = "the table needs one hole more than there are clicks (the first is fully closed)"
            return [Fault(f"{key}.holes", reason, str(len(needle.holes)), str(needle.clicks + 1))]
        sizes = [hole.si for hole in needle.holes]
        if any(later < earlier for earlier, later in pairwise(sizes)):
            return [Fault(f"{key}.holes", "the holes must not get smaller as the needle opens")]
        return []
    missing = [name for name in _CONE_NEEDS if getattr(needle, name) is None]
    if missing:
        reason = "missing key: the needle needs a table of holes or its geometry"
        return [Fault(f"{key}.{missing[0]}", reason)]
    return []


def _faults_of_check(key: str, check: Check) -> list[Fault]:
    if check.load.inner.si >= check.load.outer.si:
        allowed = f"less than {check.load.outer.text}"
        return [Fault(f"{key}.load", "the pressed ring must grow outwards", check.load.inner.text, allowed)]
    return []
