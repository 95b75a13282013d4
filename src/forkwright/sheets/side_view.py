"""A bike from the side, to scale in travel and pitch: how it rests, against how it rests on level ground.

A plain scheme of frame, fork, rear arm and wheels; axles, head angle, travels and the centre are to scale.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

from forkwright.sheets.cutaway_style import mm
from forkwright.sheets.paints import PAINTS

Point = tuple[float, float]

FORK_LENGTH = 530.0  # mm from the axle to the lower end of the head tube, at full extension
HEAD_TUBE = 110.0
EDGE = 30.0


@dataclass(frozen=True)
class BikeSide:
    """What is drawn (mm, rad).

    `head_angle` is that of the fork against the ground; the centre lies `to_rear` ahead of the rear axle and
    `centre_height` above the ground.
    """

    wheelbase: float
    wheel_radius: float
    head_angle: float
    to_rear: float
    centre_height: float


@dataclass(frozen=True)
class SidePose:
    """Where both ends stand: the fork's travel along its axis and the rear wheel's vertical travel (mm)."""

    fork_travel: float
    wheel_travel: float
    rider_shift: float = 0.0  # mm by which the common centre stands ahead
    slope: float = 0.0  # rad, uphill above zero


def draw_side(bike: BikeSide, level: SidePose, held: SidePose | None, title: str, identity: str) -> str:
    """Draw the bike as it is held, with its rest on level ground behind it; that alone where nothing is held.

    Parameters
    ----------
    bike : BikeSide
    level, held : SidePose
        `held` may be None.
    title : str
        Read out by screen readers.
    identity : str
        Prefix of the ids inside.

    Returns
    -------
    str
        One `<svg>` element; the rear is on the left.
    """
    now = held or level
    ghost = _bike(bike, level, ghost=True) if held is not None else ""
    turn = f"rotate({_mm(-math.degrees(now.slope))} {_mm(bike.wheelbase / 2)} 0)"
    wheels = "".join(_wheel(x, bike.wheel_radius) for x in (0.0, bike.wheelbase))
    left, top, width, height = _frame(bike)
    ground = f'<path class="ground" d="M{_mm(left)} 0H{_mm(left + width)}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bike-side" role="img" '
        f'aria-labelledby="{identity}-title" viewBox="{_mm(left)} {_mm(top)} {_mm(width)} {_mm(height)}">'
        f'<title id="{identity}-title">{escape(title)}</title><g transform="{turn}" fill="none" '
        f'stroke="currentColor" stroke-width="14" stroke-linecap="round" stroke-linejoin="round">'
        f"{ground}{wheels}{ghost}{_bike(bike, now, ghost=False)}</g></svg>"
    )


def body_turn(bike: BikeSide, pose: SidePose) -> float:
    """Return by how much the body is turned nose-up against both ends at full extension (rad)."""
    front, rear = _axles(bike, pose)
    return -math.atan2(front[1] - rear[1], front[0] - rear[0])


def _axles(bike: BikeSide, pose: SidePose) -> tuple[Point, Point]:
    """Front and rear axle in the body, whose origin is the rear axle at full extension; y upwards."""
    along = (-math.cos(bike.head_angle), math.sin(bike.head_angle))
    front = (bike.wheelbase + pose.fork_travel * along[0], pose.fork_travel * along[1])
    return front, (0.0, pose.wheel_travel)


def _bike(bike: BikeSide, pose: SidePose, *, ghost: bool) -> str:
    """Frame, fork, rear arm and centre, turned and lowered so that both axles stand at the wheels' height."""
    turn = body_turn(bike, pose)
    front, rear = _axles(bike, pose)

    def placed(point: Point) -> str:
        across, up = point[0] - rear[0], point[1] - rear[1]
        x = across * math.cos(turn) - up * math.sin(turn)
        y = across * math.sin(turn) + up * math.cos(turn)
        return f"{_mm(x)} {_mm(-(y + bike.wheel_radius))}"

    along = (-math.cos(bike.head_angle), math.sin(bike.head_angle))
    lower = (bike.wheelbase + FORK_LENGTH * along[0], FORK_LENGTH * along[1])
    upper = (lower[0] + HEAD_TUBE * along[0], lower[1] + HEAD_TUBE * along[1])
    crank, seat = (0.36 * bike.wheelbase, -10.0), (0.25 * bike.wheelbase, 400.0)
    pivot, mount = (0.34 * bike.wheelbase, 90.0), (0.32 * bike.wheelbase, 330.0)
    eye = (0.22 * bike.wheelbase, 120.0 + 0.5 * rear[1])
    saddle = (seat[0] - 30.0, seat[1] + 90.0)
    lines = (
        ("M", upper, "L", lower, "L", crank, "L", seat, "L", upper),
        ("M", seat, "L", saddle),
        ("M", (saddle[0] - 90.0, saddle[1]), "L", (saddle[0] + 110.0, saddle[1])),
        ("M", upper, "L", (upper[0] - 30.0, upper[1] + 60.0), "L", (upper[0] + 10.0, upper[1] + 75.0)),
    )
    written = (part if isinstance(part, str) else placed(part) for line in lines for part in line)
    frame = "".join(written)
    moving = f"M{placed(lower)}L{placed(front)}M{placed(rear)}L{placed(pivot)}"
    shock = f"M{placed(eye)}L{placed(mount)}"
    if ghost:
        return f'<path class="ghost" d="{frame}{moving}{shock}" stroke-width="6" stroke-dasharray="20 18"/>'
    centre = (bike.to_rear + pose.rider_shift, bike.centre_height - bike.wheel_radius)
    x, y = placed(centre).split()
    steel = PAINTS["floating"].ink
    return (
        f'<path class="frame" d="{frame}"/><path class="moving" d="{moving}" stroke-width="20"/>'
        f'<path class="shock" d="{shock}" stroke="{steel}" stroke-width="26"/>'
        f'<g class="centre" stroke-width="8"><circle cx="{x}" cy="{y}" r="26"/>'
        f'<path d="M{x} {y}m-26 0h52m-26 -26v52"/></g>'
    )


def _wheel(x: float, radius: float) -> str:
    return f'<circle class="wheel" cx="{_mm(x)}" cy="{_mm(-radius)}" r="{_mm(radius)}" stroke-width="18"/>'


def _frame(bike: BikeSide) -> tuple[float, float, float, float]:
    """Left, top, width, height with room for any slope up to one in three."""
    radius = bike.wheel_radius
    reach = (bike.wheelbase + 2 * radius) / 6
    top = max(bike.centre_height + 60.0, radius + FORK_LENGTH + HEAD_TUBE + 90.0)
    left = -radius - 6 * EDGE
    return left, -top - reach, bike.wheelbase + 2 * radius + 12 * EDGE, top + 2 * reach + EDGE


def _mm(number: float) -> str:
    """A coordinate to a tenth of a millimetre: a whole bike needs no more."""
    return mm(number, 1)
