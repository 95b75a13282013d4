"""A rear shock cut away: body with its damper, the air can or the coil round it, and the two eyelets.

The body stands still at the upper eyelet; the shaft moves with the lower one. An air can slides over the
body, whose end is its piston. A coil is pressed between a collar on the body and a seat at the shaft's eye.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from forkwright.sheets.geometry import Layout, Part, rect, wall_pair
from forkwright.sheets.leg_air import PISTON, SEAL_HEAD, seal_head, spacer_width
from forkwright.sheets.leg_damper import TUBE_WALL, damper_column, damper_column_length, reservoir_ratio
from forkwright.sheets.leg_shell import bottom_out_bumper
from forkwright.sheets.piggyback import PART_OF_COLUMN, piggyback
from forkwright.sheets.sizes import AirSize, UnitSize

EYELET = 11.0
CAN_WALL = 2.5
CAN_FLOOR = 8.0
SEAT = 5.0
COLLAR = 6.0
BARE_SHAFT = 10.0
BARE_BODY = 30.0
COIL_LENGTH = 2.3  # of the travel, where the file gives no length
ROUND_THE_BODY = 8.0  # clear of the body, where the file gives no diameter


@dataclass(frozen=True)
class _Body:
    """What the spring is built round (mm): its radius, where it ends above and below, the shaft's radius."""

    radius: float
    top: float
    end: float
    shaft: float
    piston_bottom: float
    behind: tuple[Part, ...]
    before: tuple[Part, ...]
    ratio: float
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _Spring:
    """The spring's parts behind and before the body, and where the lower eyelet's piece begins (y, mm)."""

    behind: tuple[Part, ...]
    before: tuple[Part, ...]
    foot: float
    notes: tuple[str, ...] = ()


def shock(size: UnitSize) -> Layout:
    """Lay out a shock at full extension.

    Parameters
    ----------
    size : UnitSize
        Of a shock; what the file does not give is drawn as a stated assumption.
    """
    body = _body(size)
    spring = _air(size, size.air, body) if size.air is not None else _coil(size, body)
    shaft = rect("shaft", "Shaft", "steel", body.shaft, body.piston_bottom, spring.foot, moves="lowers",
                 side="right")  # fmt: skip
    parts = (
        *spring.behind,
        *body.behind,
        *bottom_out_bumper(2 * body.shaft, size.bottom_out, body.end, size.travel),
        shaft,
        *body.before,
        *spring.before,
        _eye("upper-eyelet", "Upper eyelet", _top_of(body) - EYELET),
        _eye("lower-eyelet", "Lower eyelet", spring.foot + SEAT + EYELET, moves=True),
    )
    notes = (*size.notes, *size.damper_notes, *body.notes, *spring.notes)
    return Layout(parts, size.travel, body.ratio, tuple(dict.fromkeys(notes)))


def _top_of(body: _Body) -> float:
    return min(part.box()[1] for part in (*body.behind, *body.before) if abs(sum(part.box()[::2])) < 1e-6)


def _ring(part: Part) -> Part:
    """A part round the body: its name points at what is seen of it beside the body."""
    return replace(part, aim=0.04 if part.side == "left" else 0.96)


def _eye(key: str, name: str, middle: float, *, moves: bool = False) -> Part:
    points = ((0.0, middle), (EYELET, middle))
    if moves:
        return Part(key, name, "alloy", "circle", points, "lowers", "lowers", "", "right")
    return Part(key, name, "alloy", "circle", points, side="left")


# --- the body ----------------------------------------------------------------------------------------


def _body(size: UnitSize) -> _Body:
    least = _least_body(size)
    wanted = size.air.shaft / 2 if size.air is not None else 0.0
    damper = size.damper
    if damper is None:
        radius = wanted or BARE_BODY / 2
        end = least + 20.0
        return _Body(
            radius, 0.0, end, min(BARE_SHAFT / 2, radius - 2.5), end - SEAL_HEAD - 4.0,
            (rect("around-damper", "", "void", radius - TUBE_WALL, 0.0, end),),
            _shell(radius - TUBE_WALL, radius, 0.0, end), 0.0,
            ("The file gives no damper sizes: the body is drawn empty.",),
        )  # fmt: skip
    tube = damper.tube_bore / 2
    radius = max(wanted, tube + TUBE_WALL)
    end = damper_column_length(damper, size.travel)
    column = damper_column(damper, size.travel, end)
    beside = damper.mount == "piggyback"
    kept = [part for part in column.parts if part.key[:-2] != "damper-tube"]
    if beside:
        kept = [part for part in kept if part.key not in PART_OF_COLUMN]
    valve = min(part.box()[1] for part in kept if part.key.startswith("base-valve"))
    top = min(valve if beside else column.top, end - least)
    above: tuple[Part, ...] = ()
    ratio = reservoir_ratio(damper)
    if beside:
        above, ratio = piggyback(damper, size.travel, valve, top, radius, _outside(size, radius)), -ratio
    elif top < column.top:
        above = (rect("body-top", "", "alloy", radius, top, column.top),)
    notes = () if damper.mount else ("The file does not say how the reservoir is mounted: drawn in line.",)
    return _Body(
        radius, top, end, damper.shaft / 2, column.piston_bottom, (*above, *kept),
        (*column.piston, *_shell(tube, radius, valve, end)), ratio, notes,
    )  # fmt: skip


def _least_body(size: UnitSize) -> float:
    """How long the body has to be below its top, so that a can or a coil has room at full travel (mm)."""
    if size.air is None:
        return size.travel + COLLAR + 20.0
    return PISTON + _negative(size.air) + SEAL_HEAD + size.travel + 4.0


def _shell(inner: float, outer: float, top: float, end: float) -> tuple[Part, ...]:
    return (
        *wall_pair("body", "Damper body", "tube", inner, outer, top, end, side="left"),
        *seal_head(inner, end),
    )


def _outside(size: UnitSize, radius: float) -> float:
    """Radius of what stands round the body (mm)."""
    if size.air is not None:
        return size.air.bore / 2 + CAN_WALL
    return _coil_radius(size, radius) + 3.0


# --- the air can -------------------------------------------------------------------------------------


def _negative(air: AirSize) -> float:
    """Height of the negative chamber, or of the coil that stands in for it (mm)."""
    return max(air.negative_volume / air.negative_area, air.negative_coil)


def _air(size: UnitSize, air: AirSize, body: _Body) -> _Spring:
    radius, piston_top = air.bore / 2, body.end - PISTON
    floor = body.end + air.positive_volume / air.area
    negative_top = piston_top - _negative(air)
    head = negative_top - SEAL_HEAD
    middle = body.end - PISTON / 2
    behind = [
        rect("positive", "Positive chamber", "air", radius, body.end, floor,
             moves=("still", "lowers"), chamber="positive", side="left"),
        *_spacers(air, size.travel, floor),
        *_negative_chamber(air, negative_top, piston_top),
        _ring(
            rect("can-head", "Can head", "alloy", radius, head, negative_top, moves="lowers", side="right")
        ),
        rect("can-seal", "", "seal", body.radius + 1.5, head + 2.0, head + 4.5, moves="lowers"),
        _ring(rect("piston", "Air piston", "alloy", radius - 0.6, piston_top, body.end, side="left")),
        rect("piston-seal", "", "seal", radius, middle - 1.5, middle + 1.5),
    ]  # fmt: skip
    before = [
        *wall_pair("can", "Air can", "tube", radius, radius + CAN_WALL, head, floor + CAN_FLOOR,
                   moves="lowers", side="right"),
        rect("can-floor", "", "alloy", radius, floor, floor + CAN_FLOOR, moves="lowers"),
        *_transfer(air, middle),
    ]  # fmt: skip
    notes = ("The chamber behind the floating piston is not drawn.",) if air.floating_bore else ()
    return _Spring(tuple(behind), tuple(before), floor + CAN_FLOOR - SEAT, notes)


def _spacers(air: AirSize, travel: float, floor: float) -> list[Part]:
    """Blocks on the can's floor; each has exactly the measured volume of one spacer."""
    if not air.spacers or not air.spacer_volume:
        return []
    width = spacer_width(air, travel)
    height = air.spacer_volume / (math.pi / 4 * width**2)
    words = f"{air.spacers} volume spacer" + ("s" if air.spacers > 1 else "")
    return [
        rect(f"spacer-{place}", "" if place else words, "spacer", width / 2, floor - (place + 1) * height,
             floor - place * height, moves="lowers", side="none" if place else "right")
        for place in range(air.spacers)
    ]  # fmt: skip


def _negative_chamber(air: AirSize, top: float, bottom: float) -> list[Part]:
    radius = air.bore / 2
    if not air.negative_coil:
        return [
            _ring(rect("negative", "Negative chamber", "air", radius, top, bottom, moves=("lowers", "still"),
                   chamber="negative", side="left"))
        ]  # fmt: skip
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


# --- the coil ----------------------------------------------------------------------------------------


def _coil(size: UnitSize, body: _Body) -> _Spring:
    radius = _coil_radius(size, body.radius)
    seat = body.end + size.travel + SEAT
    length = size.coil_length or COIL_LENGTH * size.travel
    notes = [] if size.coil_length else ["The file gives no free length: the coil's is assumed."]
    least = body.top + COLLAR
    collar = max(seat - length, least)
    if seat - length < least:
        notes.append("The coil is longer than body and shaft leave room for: drawn shorter than measured.")
    behind = (
        _ring(Part("main-coil", "Coil", "steel", "coil", ((-radius, collar), (radius, seat)), "still",
                   "lowers", "", "left")),
    )  # fmt: skip
    before = (
        *wall_pair("collar", "Preload collar", "alloy", body.radius, radius + 3.0, collar - COLLAR, collar,
                   side="left"),
        rect("coil-seat", "Spring seat", "alloy", radius + 3.0, seat, seat + SEAT, moves="lowers",
             side="right"),
    )  # fmt: skip
    return _Spring(behind, before, seat, tuple(notes))


def _coil_radius(size: UnitSize, body: float) -> float:
    return size.coil_diameter / 2 if size.coil_diameter else body + ROUND_THE_BODY
