"""What a column can mean, in words, and what a recording with such columns is good for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from forkwright.units import DIMENSIONS

if TYPE_CHECKING:
    from forkwright.evidence.mapping import SourceMapping

CHANNELS: tuple[tuple[str, str, str], ...] = (
    ("time", "Time", "time"),
    ("travel", "Travel", "length"),
    ("rear_travel", "Travel, rear", "length"),
    ("force", "Force", "force"),
    ("speed", "Shaft speed", "speed"),
    ("ground_speed", "Speed over ground", "speed"),
    ("pressure", "Pressure, positive chamber", "pressure"),
    ("negative_pressure", "Pressure, negative chamber", "pressure"),
    ("floating_pressure", "Pressure behind the floating piston", "pressure"),
    ("lower_leg_pressure", "Pressure, lower leg", "pressure"),
    ("temperature", "Temperature", "temperature"),
    ("ambient_temperature", "Temperature of the room", "temperature"),
    ("rides", "Rides so far", "dimensionless"),
    ("section", "Section of the course", "text"),
    ("acceleration", "Acceleration", "acceleration"),
    ("distance", "Distance", "length"),
)
_MORE_UNITS = {"time": ("us",)}


def offered_channels(proposed: tuple[str, ...] = ()) -> list[dict[str, str]]:
    """Return what a column can be said to mean; what was proposed beside the usual is offered too."""
    known = {name for name, _, _ in CHANNELS}
    more = [
        (name, name.replace("_", " ").capitalize(), _dimension_of(name))
        for name in proposed
        if name not in known
    ]
    return [{"name": name, "words": words, "quantity": kind} for name, words, kind in (*CHANNELS, *more)]


def offered_units() -> dict[str, list[str]]:
    """Return the units a column of each kind can be in."""
    kinds = {kind for _, _, kind in CHANNELS if kind in DIMENSIONS}
    return {kind: [*DIMENSIONS[kind].symbols, *_MORE_UNITS.get(kind, ())] for kind in sorted(kinds)}


def kind_of(mapping: SourceMapping) -> str:
    """Return what a file with these columns is: "rides", "pull", "pressure", "dyno", "leak-down" or "log"."""
    names = {use.name for use in mapping.uses}
    pressed = any(name.endswith("pressure") for name in names)
    if "rides" in names and pressed:
        return "rides"
    if "force" in names:
        return "pull" if "travel" in names else "dyno" if "speed" in names else "log"
    if pressed:
        return "pressure" if "travel" in names else "leak-down"
    return "log"


def _dimension_of(name: str) -> str:
    from forkwright.evidence.headers import read_header

    return read_header(name).dimension or "dimensionless"
