"""A rear shock cut away: body with its damper, the air can or the coil round it, and the two eyelets.

The body stands still at the upper eyelet; the shaft moves with the lower one.
"""

from __future__ import annotations

from forkwright.sheets.geometry import Layout, Part, rect
from forkwright.sheets.leg_shell import bottom_out_bumper
from forkwright.sheets.shock_body import Body, Spring, body_radius, shock_body
from forkwright.sheets.shock_can import EYE_SEAT, air_can, can_radius, can_room
from forkwright.sheets.shock_coil import BESIDE_THE_COIL, coil_radius, coil_room, coil_round
from forkwright.sheets.sizes import UnitSize

EYELET = 11.0


def shock(size: UnitSize) -> Layout:
    """Lay out a shock at full extension.

    Parameters
    ----------
    size : UnitSize
        Of a shock; what the file does not give is drawn as a stated assumption.
    """
    body, spring = _body_and_spring(size)
    shaft = rect("shaft", "Shaft", "steel", body.shaft, body.piston_bottom, spring.foot, moves="lowers",
                 side="right")  # fmt: skip
    parts = (
        *spring.behind,
        *body.behind,
        *bottom_out_bumper(2 * body.shaft, size.bottom_out, body.end, size.travel),
        shaft,
        *body.before,
        *spring.before,
        _eye("upper-eyelet", "Upper eyelet", body.highest - EYELET),
        _eye("lower-eyelet", "Lower eyelet", spring.foot + EYE_SEAT + EYELET, moves=True),
    )
    notes = (*size.notes, *size.damper_notes, *body.notes, *spring.notes)
    return Layout(parts, size.travel, body.ratio, tuple(dict.fromkeys(notes)))


def _body_and_spring(size: UnitSize) -> tuple[Body, Spring]:
    if size.air is not None:
        body = shock_body(size, can_room(size.air, size.travel), can_radius(size.air))
        return body, air_can(size.air, size.travel, body)
    outside = coil_radius(size, body_radius(size)) + BESIDE_THE_COIL
    body = shock_body(size, coil_room(size.travel), outside)
    return body, coil_round(size, body)


def _eye(key: str, name: str, middle: float, *, moves: bool = False) -> Part:
    points = ((0.0, middle), (EYELET, middle))
    if moves:
        return Part(key, name, "alloy", "circle", points, "lowers", "lowers", "", "right")
    return Part(key, name, "alloy", "circle", points, side="left")
