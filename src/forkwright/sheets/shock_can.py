"""A shock's air can: it slides over the body, whose end is its piston, and moves with the lower eyelet."""

from __future__ import annotations

from forkwright.sheets.geometry import Part, rect, wall_pair
from forkwright.sheets.leg_air import PISTON, SEAL_HEAD, negative_height, spacer_stack
from forkwright.sheets.shock_body import Body, Spring, round_the_body
from forkwright.sheets.sizes import AirSize

CAN_WALL = 2.5
CAN_FLOOR = 8.0
EYE_SEAT = 5.0


def can_room(air: AirSize, travel: float) -> float:
    """Return how long the body has to be below its top, so that the can has room at full travel (mm)."""
    return PISTON + negative_height(air) + SEAL_HEAD + travel + 4.0


def can_radius(air: AirSize) -> float:
    """Return the can's outer radius (mm)."""
    return air.bore / 2 + CAN_WALL


def air_can(air: AirSize, travel: float, body: Body) -> Spring:
    """Lay out the can and its chambers round a body at full extension (`travel` in mm)."""
    radius, piston_top = air.bore / 2, body.end - PISTON
    floor = body.end + air.positive_volume / air.area
    negative_top = piston_top - negative_height(air)
    head = negative_top - SEAL_HEAD
    middle = body.end - PISTON / 2
    behind = [
        rect("positive", "Positive chamber", "air", radius, body.end, floor,
             moves=("still", "lowers"), chamber="positive", side="left"),
        *spacer_stack(air, travel, floor, upwards=True),
        *_negative_chamber(air, negative_top, piston_top),
        round_the_body(
            rect("can-head", "Can head", "alloy", radius, head, negative_top, moves="lowers", side="right")
        ),
        rect("can-seal", "", "seal", body.radius + 1.5, head + 2.0, head + 4.5, moves="lowers"),
        round_the_body(
            rect("piston", "Air piston", "alloy", radius - 0.6, piston_top, body.end, side="left")
        ),
        rect("piston-seal", "", "seal", radius, middle - 1.5, middle + 1.5),
    ]  # fmt: skip
    before = [
        *wall_pair("can", "Air can", "tube", radius, radius + CAN_WALL, head, floor + CAN_FLOOR,
                   moves="lowers", side="right"),
        rect("can-floor", "", "alloy", radius, floor, floor + CAN_FLOOR, moves="lowers"),
        *_transfer(air, middle),
    ]  # fmt: skip
    notes = ("The chamber behind the floating piston is not drawn.",) if air.floating_bore else ()
    return Spring(tuple(behind), tuple(before), floor + CAN_FLOOR - EYE_SEAT, notes)


def _negative_chamber(air: AirSize, top: float, bottom: float) -> list[Part]:
    radius = air.bore / 2
    if not air.negative_coil:
        chamber = rect("negative", "Negative chamber", "air", radius, top, bottom, moves=("lowers", "still"),
                       chamber="negative", side="left")  # fmt: skip
        return [round_the_body(chamber)]
    return [
        rect("negative", "", "void", radius, top, bottom, moves=("lowers", "still")),
        Part("negative-coil", "Negative coil", "steel", "coil",
             ((-radius * 0.9, top), (radius * 0.9, bottom)), "lowers", "still", "", "left"),
    ]  # fmt: skip


def _transfer(air: AirSize, seal: float) -> list[Part]:
    """A groove in the can's wall that meets the piston's seal at the transfer point alone."""
    if air.transfer is None:
        return []
    middle = seal + air.transfer
    half = max(min(6.0, 0.8 * air.transfer), 1.0)
    left = -air.bore / 2
    corners = ((left - 0.6 * CAN_WALL, middle - half), (left, middle + half))
    return [Part("transfer", "Transfer port", "groove", "rect", corners, "lowers", "lowers", side="left")]
