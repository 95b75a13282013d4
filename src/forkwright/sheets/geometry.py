"""The cut-away drawing's geometry: what parts there are, where they lie in millimetres, and what moves them.

This is the one owner of positions. The SVG drawer and the page's script both work from a `Layout`: the drawer
writes every part once, and whoever shows another travel only shifts edges by the pose's offsets.

Axes: x across the unit (0 on the leg's axis), y downwards from the upper end, both in millimetres. The upper
end (crown, or the shock's body) stands still; compression moves the lower end up, that is to smaller y.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

#: What an edge follows: nothing, the lower legs (or the shock's shaft), the air spring's floating piston, or
#: the damper reservoir's floating piston.
Motion = Literal["still", "lowers", "floating", "reservoir"]

Shape = Literal["rect", "polygon", "circle", "coil"]
Side = Literal["left", "right", "none"]


@dataclass(frozen=True)
class Part:
    """One drawn piece.

    Attributes
    ----------
    key : str
        Unique within a layout.
    name : str
        The trade's name of the part; empty when the piece is not labelled.
    material : str
        Which paint it takes (see `paints.PAINTS`).
    shape : str
        "rect" and "coil" use the first two points as opposite corners, "circle" a centre and a point on the
        rim, "polygon" all of them.
    points : tuple of (x, y)
        Position at full extension (mm).
    top, bottom : str
        What the upper and the lower edge follow. They differ only for rectangles and coils.
    chamber : str
        The pressure that tints it, as a role ("positive", "negative", "secondary", "lower_leg",
        "lower_leg_damper", "compression", "shaft_side", "reservoir"); empty for solid parts.
    side : str
        Where the label stands: "left" for what stands still, "right" for what moves with the lower legs.
    aim : float, optional
        Where across the part the label points, as a share from its left; by default well inside.
    """

    key: str
    name: str
    material: str
    shape: Shape
    points: tuple[tuple[float, float], ...]
    top: Motion = "still"
    bottom: Motion = "still"
    chamber: str = ""
    side: Side = "none"
    aim: float | None = None

    def box(self) -> tuple[float, float, float, float]:
        """Return left, top, right, bottom at full extension (mm)."""
        if self.shape == "circle":
            (cx, cy), (px, py) = self.points
            radius = ((px - cx) ** 2 + (py - cy) ** 2) ** 0.5
            return cx - radius, cy - radius, cx + radius, cy + radius
        across = [x for x, _ in self.points]
        down = [y for _, y in self.points]
        return min(across), min(down), max(across), max(down)


@dataclass(frozen=True)
class Pose:
    """How far each moving thing has moved up from full extension (mm)."""

    lowers: float = 0.0
    floating: float = 0.0
    reservoir: float = 0.0

    def shift(self, motion: Motion) -> float:
        """Return the change of y (mm, downwards positive) of what follows `motion`."""
        return 0.0 if motion == "still" else -float(getattr(self, motion))


@dataclass(frozen=True)
class Layout:
    """All parts of one drawing, in painting order.

    Attributes
    ----------
    parts : tuple of Part
        Painted first to last.
    travel : float
        Full travel (mm).
    reservoir_ratio : float
        Movement of the damper reservoir's piston per millimetre of travel (shaft area over reservoir area).
    notes : tuple of str
        What the drawing had to assume, in plain sentences.
    """

    parts: tuple[Part, ...]
    travel: float
    reservoir_ratio: float = 0.0
    notes: tuple[str, ...] = field(default=())

    def box(self) -> tuple[float, float, float, float]:
        """Return left, top, right, bottom of everything at full extension (mm)."""
        boxes = [part.box() for part in self.parts]
        return (
            min(box[0] for box in boxes),
            min(box[1] for box in boxes),
            max(box[2] for box in boxes),
            max(box[3] for box in boxes),
        )

    def part(self, key: str) -> Part:
        """Return the part with this key (KeyError when there is none)."""
        for part in self.parts:
            if part.key == key:
                return part
        raise KeyError(key)

    def pose(self, travel: float, floating: float = 0.0) -> Pose:
        """Return the pose at a travel and a floating-piston movement (mm)."""
        return Pose(lowers=travel, floating=floating, reservoir=self.reservoir_ratio * travel)


def moved_box(part: Part, pose: Pose) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of a part in a pose (mm).

    Examples
    --------
    >>> shaft = Part("shaft", "Shaft", "metal", "rect", ((-5, 100), (5, 300)), top="lowers", bottom="lowers")
    >>> moved_box(shaft, Pose(lowers=40))
    (-5, 60.0, 5, 260.0)
    """
    left, top, right, bottom = part.box()
    return left, top + pose.shift(part.top), right, bottom + pose.shift(part.bottom)


def shifted(parts: tuple[Part, ...] | list[Part], across: float, prefix: str = "") -> tuple[Part, ...]:
    """Return the parts moved sideways by `across` mm, their keys prefixed so that two legs stand together."""
    return tuple(
        replace(part, key=prefix + part.key, points=tuple((x + across, y) for x, y in part.points))
        for part in parts
    )


def rect(
    key: str,
    name: str,
    material: str,
    half_width: float,
    top: float,
    bottom: float,
    *,
    moves: Motion | tuple[Motion, Motion] = "still",
    chamber: str = "",
    side: Side = "none",
) -> Part:
    """Return a rectangle centred on the axis; `moves` is one motion, or the top's and the bottom's."""
    upper, lower = moves if isinstance(moves, tuple) else (moves, moves)
    corners = ((-half_width, top), (half_width, bottom))
    return Part(key, name, material, "rect", corners, upper, lower, chamber, side)


def wall_pair(
    key: str,
    name: str,
    material: str,
    inner: float,
    outer: float,
    top: float,
    bottom: float,
    *,
    moves: Motion = "still",
    side: Side = "none",
) -> tuple[Part, Part]:
    """Return the two cut walls of a tube, left and right of the axis; the one on its side has the label."""
    left = Part(f"{key}-l", "", material, "rect", ((-outer, top), (-inner, bottom)), moves, moves)
    right = Part(f"{key}-r", "", material, "rect", ((inner, top), (outer, bottom)), moves, moves)
    if side == "left":
        return replace(left, name=name, side="left"), right
    return left, replace(right, name=name, side=side)
