"""A fork leg's outside: crown, stanchion, wiper, bushings, lower leg, its oil and air, axle.

Bushings and axle stand where the chassis was measured. The lower leg's floor is set so that the air beside,
inside and below the stanchion is the measured volume; oil depth is nominal, since the file gives the air
volume with the oil in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from forkwright.sheets.geometry import Part, rect, wall_pair
from forkwright.sheets.sizes import ChassisSize

CROWN_BOTTOM = 42.0
CROWN_WALL = 9.0
BUSHING = 12.0
BUSHING_WALL = 1.5
BELOW_BUSHING = 10.0  # stanchion showing below the lower bushing's middle at full extension
WIPER = 8.0
FOAM = 6.0
LOWER_WALL = 4.0
AXLE = 15.0
OIL_VOLUME = 10_000.0  # mm³, nominal
LEAST_CLEARANCE = 3.0


@dataclass(frozen=True)
class Shell:
    """Parts behind and in front of the leg's inside, and the floor the shaft is bolted to (y, mm)."""

    behind: tuple[Part, ...]
    front: tuple[Part, ...]
    floor: float
    outer: float
    axle: float
    notes: tuple[str, ...]


def least_stanchion(chassis: ChassisSize, travel: float) -> float:
    """Return the shortest stanchion (mm) whose wiper still clears the crown at full travel."""
    above = chassis.bushing_spacing + BUSHING / 2 + FOAM + WIPER + BELOW_BUSHING
    return CROWN_BOTTOM + travel + 6.0 + above


def leg_shell(
    chassis: ChassisSize,
    travel: float,
    stanchion: float,
    shaft: float,
    head_bottom: float,
    inner: float,
    lower_air: str = "lower_leg",
) -> Shell:
    """Build the outside of one leg at full extension.

    Parameters
    ----------
    chassis : ChassisSize
        Measured tubes and bushings.
    travel, stanchion : float
        Full travel and stanchion length (mm).
    shaft : float
        Diameter of the shaft in this leg (mm).
    head_bottom : float
        Where the seal head inside ends (y, mm); below it the tube holds lower-leg air.
    inner : float
        Radius of what fills the stanchion's inside (mm).
    lower_air : str
        The chamber role of this leg's trapped air.
    """
    radius = chassis.stanchion_outer / 2
    cavity, outer = radius + BUSHING_WALL, radius + BUSHING_WALL + LOWER_WALL
    lower_bushing = stanchion - BELOW_BUSHING
    upper_bushing = lower_bushing - chassis.bushing_spacing
    wiper_bottom = upper_bushing - BUSHING / 2 - FOAM
    axle = lower_bushing + chassis.axle_to_lower_bushing
    net = math.pi * (cavity**2 - (shaft / 2) ** 2)
    beside = math.pi * (cavity**2 - radius**2) * (stanchion - wiper_bottom)
    inside = math.pi * (inner**2 - (shaft / 2) ** 2) * (stanchion - head_bottom)
    oil = OIL_VOLUME / net
    least = stanchion + travel + LEAST_CLEARANCE + oil
    floor, notes = _floor(chassis.lower_air, least, axle, stanchion + oil - (beside + inside) / net, net)
    foot = max(floor + 10.0, axle + AXLE / 2 + 5.0)

    behind = (
        rect("foot", "", "casting", outer, floor, foot, moves="lowers"),
        rect("lower-air", "Lower-leg air", "air", cavity, wiper_bottom, floor,
             moves="lowers", chamber=lower_air, side="right"),
        rect("lower-oil", "Lower-leg oil", "oil", cavity, floor - oil, floor, moves="lowers", side="right"),
        rect("tube-below-head", "", "air", inner, head_bottom, stanchion, chamber=lower_air),
    )  # fmt: skip
    front = (
        *wall_pair("stanchion", "Stanchion", "tube", inner, radius, 0.0, stanchion, side="left"),
        *wall_pair("lower", "Lower leg", "casting", cavity, outer, wiper_bottom - WIPER, floor,
                   moves="lowers", side="right"),
        *wall_pair("wiper", "Wiper", "seal", radius, cavity + 1.0, wiper_bottom - WIPER, wiper_bottom,
                   moves="lowers", side="right"),
        *wall_pair("foam", "Foam ring", "foam", radius, cavity + 1.0, wiper_bottom, wiper_bottom + FOAM,
                   moves="lowers", side="right"),
        *_bushing("upper-bushing", "Upper bushing", radius, cavity, upper_bushing),
        *_bushing("lower-bushing", "Lower bushing", radius, cavity, lower_bushing),
        *wall_pair("crown", "Crown", "casting", radius, radius + CROWN_WALL, 0.0, CROWN_BOTTOM, side="left"),
    )  # fmt: skip
    return Shell(behind, front, floor, outer, axle, notes)


def axle_stub(outer: float, axle: float) -> list[Part]:
    """Return the axle through one leg's foot."""
    return [
        rect(
            "axle",
            "Axle",
            "steel",
            outer + 6.0,
            axle - AXLE / 2,
            axle + AXLE / 2,
            moves="lowers",
            side="right",
        )
    ]


def shaft_parts(shaft: float, top: float, floor: float, name: str = "Shaft") -> list[Part]:
    """Return the shaft from the piston down to the foot, with the bolt that holds it there."""
    return [
        rect("shaft", name, "steel", shaft / 2, top, floor, moves="lowers", side="right"),
        rect("foot-bolt", "Foot bolt", "steel", max(shaft * 0.35, 2.5), floor, floor + 14.0,
             moves="lowers", side="right"),
    ]  # fmt: skip


def bottom_out_bumper(shaft: float, length: float, head_bottom: float, travel: float) -> list[Part]:
    """Return the bumper on the shaft: it meets the head when its own length of travel is left."""
    if length <= 0.0:
        return []
    top = head_bottom + travel - length
    radius = shaft / 2 + 4.0
    return [
        rect(
            "bumper", "Bottom-out bumper", "bumper", radius, top, top + length, moves="lowers", side="right"
        ),
        rect("bumper-seat", "", "alloy", radius + 1.0, top + length, top + length + 3.0, moves="lowers"),
    ]


def _bushing(key: str, name: str, radius: float, cavity: float, middle: float) -> tuple[Part, Part]:
    half = BUSHING / 2
    return wall_pair(
        key, name, "bushing", radius, cavity, middle - half, middle + half, moves="lowers", side="right"
    )


def _floor(
    lower_air: float | None, least: float, axle: float, empty: float, net: float
) -> tuple[float, tuple[str, ...]]:
    """Where the lower leg's floor lies (y, mm), and what the drawing could not keep to.

    `least` is where it clears the stanchion at full travel, `empty` where the leg would hold no air at all,
    and every mm below that adds `net` mm³.
    """
    most = max(axle + 25.0, least)
    if lower_air is None:
        return min(max(axle - 15.0, least), most), ()
    wanted = empty + lower_air / net
    if least <= wanted <= most:
        return wanted, ()
    drawn = min(max(wanted, least), most)
    size = "longer" if drawn > wanted else "shorter"
    return drawn, (f"The lower leg's air space is drawn {size} than its measured volume asks for.",)
