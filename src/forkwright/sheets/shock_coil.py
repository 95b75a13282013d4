"""A shock's coil: pressed between a collar on the body and a seat at the shaft's eye."""

from __future__ import annotations

from forkwright.sheets.geometry import Part, rect, wall_pair
from forkwright.sheets.shock_body import Body, Spring, round_the_body
from forkwright.sheets.shock_can import EYE_SEAT
from forkwright.sheets.sizes import UnitSize

COLLAR = 6.0
COIL_LENGTH = 2.3  # of the travel, where the file gives no length
ROUND_THE_BODY = 8.0  # clear of the body, where the file gives no diameter
BESIDE_THE_COIL = 3.0  # by which collar and seat are wider than the coil's radius


def coil_room(travel: float) -> float:
    """Return how long the body has to be below its top, so that the coil has room at full travel (mm)."""
    return travel + COLLAR + 20.0


def coil_radius(size: UnitSize, body: float) -> float:
    """Return the radius of the wire's middle (mm) round a body of this radius (mm)."""
    return size.coil_diameter / 2 if size.coil_diameter else body + ROUND_THE_BODY


def coil_round(size: UnitSize, body: Body) -> Spring:
    """Lay out the coil, its collar and its seat round a body at full extension."""
    radius = coil_radius(size, body.radius)
    seat = body.end + size.travel + EYE_SEAT
    length = size.coil_length or COIL_LENGTH * size.travel
    notes = [] if size.coil_length else ["The file gives no free length: the coil's is assumed."]
    least = body.top + COLLAR
    collar = max(seat - length, least)
    if seat - length < least:
        notes.append("The coil is longer than body and shaft leave room for: drawn shorter than measured.")
    wide = radius + BESIDE_THE_COIL
    wire = Part("main-coil", "Coil", "steel", "coil", ((-radius, collar), (radius, seat)), "still", "lowers",
                "", "left")  # fmt: skip
    before = (
        *wall_pair("collar", "Preload collar", "alloy", body.radius, wide, collar - COLLAR, collar,
                   side="left"),
        rect("coil-seat", "Spring seat", "alloy", wide, seat, seat + EYE_SEAT, moves="lowers", side="right"),
    )  # fmt: skip
    return Spring((round_the_body(wire),), before, seat, tuple(notes))
