"""What the Ride page needs for its drawing: the ground under the wheel, and sizes of the parts that move."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from forkwright.hardware import Bike, Unit
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.ride.course import Course
    from forkwright.ride.options import Tyre
    from forkwright.ride.simulate import RideResult

MOST_GROUND = 16_000
"""Points of the ground that are sent; of a longer stretch every second, third … one."""

BESIDE = 4.0
"""Ground shown beyond both ends of the stretch, m."""

ASSUMED_CROWN = 0.40  # m from the axle to the crown of a fork bottomed out, where its file does not say
ASSUMED_STANCHION = 0.035  # m
ASSUMED_LOWERS = 0.39  # m from the axle to the wiper


def trail_of(ride: RideResult, course: Course, stretch: slice, tyre: Tyre) -> dict[str, Any]:
    """Return the ground under a stretch of the ride, on the height in which the ride counts (`ground_m`)."""
    from forkwright.physics.road import disc_envelope, patch_average

    reach = slice(0, int(8.0 * tyre.outer_radius / course.spacing) + 2)
    start = patch_average(
        disc_envelope(course.elevation[reach], course.spacing, tyre.outer_radius),
        course.spacing,
        tyre.patch_length,
    )[0]
    where = ride.distance[stretch]
    first = max(int((where[0] - BESIDE) / course.spacing), 0)
    last = min(int((where[-1] + BESIDE) / course.spacing) + 2, course.distance.size)
    every = max(math.ceil((last - first) / MOST_GROUND), 1)
    shown = slice(first, last, every)
    return {
        "from_m": float(course.distance[first]),
        "spacing_m": course.spacing * every,
        "every": every,
        "height_m": np.round(course.elevation[shown] - start, 4),
        "gradient": np.round(course.gradient[shown], 4),
        "speed_m_s": np.round(course.speed[shown], 3),
        "load_factor": np.round(course.load_factor[shown], 3),
        "event_m": [place for place, _ in course.marks],
        "event_kind": [kind for _, kind in course.marks],
        "duration_s": course.duration,
        "length_m": course.length,
    }


def figure_of(unit: Unit, ride: RideResult, bike: Bike, wheel_radius: float) -> dict[str, Any]:
    """Return the sizes that the drawing needs, m, and which of them had to be assumed."""
    p = ride.parameters
    sizes, assumed = _sizes(unit)
    return {
        "kind": unit.kind,
        "travel_m": float(unit.travel.si),
        "head_angle_rad": float(bike.head_angle.si),
        "wheel_radius_m": wheel_radius,
        "tyre_sink_m": float(ride.tyre_force[0] / p.tyre_stiffness),
        "sprung_kg": float(p.sprung_mass),
        "rider_kg": float(p.rider_mass),
        "unsprung_kg": float(p.unsprung_mass),
        "assumed": assumed,
        **sizes,
    }


def _sizes(unit: Unit) -> tuple[dict[str, float], list[str]]:
    """Return a fork's outer sizes (m) from its file, and the names of those that are assumed."""
    travel = float(unit.travel.si)
    sizes = {
        "axle_to_crown_m": ASSUMED_CROWN + travel,
        "stanchion_m": ASSUMED_STANCHION,
        "lowers_m": ASSUMED_LOWERS,
    }
    chassis = unit.chassis
    if unit.kind != "fork":
        return sizes, []
    if chassis is None:
        return sizes, ["axle to crown", "stanchions", "length of the lowers"]
    sizes["stanchion_m"] = chassis.stanchion_outer.si
    crown = chassis.axle_to_crown
    if crown is not None:
        sizes["axle_to_crown_m"] = crown.si
    lower, spacing = chassis.axle_to_lower_bushing, chassis.bushing_spacing
    if lower is not None and spacing is not None:
        sizes["lowers_m"] = lower.si + spacing.si
    named = {
        "stanchions": (chassis.stanchion_outer,),
        "axle to crown": (crown,),
        "length of the lowers": (lower, spacing),
    }
    return sizes, [name for name, given in named.items() if any(_assumed(one) for one in given)]


def _assumed(given: Measure | None) -> bool:
    """Whether a size is missing, or said to be assumed where it stands."""
    return given is None or given.origin == "assumed"
