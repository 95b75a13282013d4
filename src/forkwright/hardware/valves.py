"""The valves of a damper as measured: ports, bleeds, needles, shim stacks, checks and what adjusts them.

All sizes across are diameters. Clicks count from fully closed.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from forkwright.hardware.discs import Disc
from forkwright.hardware.fields import Part, quantity
from forkwright.units import Measure

Diameter = Annotated[Measure, quantity("length", "0.05 mm", "120 mm")]
Length = Annotated[Measure, quantity("length", "0 mm", "200 mm")]
Share = Annotated[Measure, quantity("dimensionless", "0.05", "1")]


class Ports(Part):
    """Equal round holes side by side. `length` is along the flow; none given counts as a thin plate."""

    count: Annotated[int, Field(ge=1, le=200)] = 1
    diameter: Diameter
    length: Length | None = None
    discharge: Share | None = None


class Annulus(Part):
    """The ring of the first shim that the port's pressure reaches."""

    inner: Annotated[Measure, quantity("length", "0 mm", "120 mm")]
    outer: Diameter


class Needle(Part):
    """An adjustable bleed: a measured table of equal holes, or the needle's geometry.

    `holes` gives, from fully closed, the diameter of the round hole that passes as much; one entry more
    than `clicks`. Otherwise the cone: `bore`, `half_angle`, `lift_per_click` and the lift that is left
    when it is fully closed. `discharge` is the coefficient of the opening.
    """

    clicks: Annotated[int, Field(ge=1, le=200)]
    holes: tuple[Annotated[Measure, quantity("length", "0 mm", "20 mm")], ...] | None = None
    bore: Diameter | None = None
    half_angle: Annotated[Measure, quantity("angle", "1 deg", "89 deg")] | None = None
    lift_per_click: Annotated[Measure, quantity("length", "0.0001 mm", "10 mm")] | None = None
    lift_closed: Annotated[Measure, quantity("length", "0 mm", "20 mm")] | None = None
    discharge: Share | None = None


class HighSpeed(Part):
    """The high-speed adjuster of a stack: a ring behind it that moves, or a spring that presses on it.

    "fulcrum": the support ring has diameter `closed` at no clicks and `open` at all clicks, evenly spaced,
    standing `clearance` behind the last shim. "preload": a spring of `rate` bears on the stack at
    `diameter` and is compressed by `closed` at no clicks and by `open` at all clicks.
    """

    kind: Literal["fulcrum", "preload"]
    clicks: Annotated[int, Field(ge=1, le=200)]
    closed: Annotated[Measure, quantity("length", "0 mm", "120 mm")]
    open: Annotated[Measure, quantity("length", "0 mm", "120 mm")]
    clearance: Annotated[Measure, quantity("length", "0 mm", "10 mm")] | None = None
    diameter: Diameter | None = None
    rate: Annotated[Measure, quantity("stiffness", "0.01 N/mm", "10000 N/mm")] | None = None


class Check(Part):
    """A plate that opens one way: its ports, the ring it covers, and the spring that closes it.

    `lag` is the time constant with which the plate follows the pressure; the dynamometer shows it.
    """

    ports: Ports
    seat: Diameter
    load: Annulus
    preload: Annotated[Measure, quantity("force", "0 N", "500 N")]
    rate: Annotated[Measure, quantity("stiffness", "0.001 N/mm", "1000 N/mm")]
    lift: Annotated[Measure, quantity("length", "0.01 mm", "20 mm")]
    lag: Annotated[Measure, quantity("time", "0 ms", "100 ms")] | None = None


class Leak(Part):
    """A narrow ring gap that always passes a little: `gap` is the mean radial clearance.

    `eccentricity` is the offset as a share of the gap, 0 (concentric) to 1 (touching).
    """

    diameter: Diameter
    gap: Annotated[Measure, quantity("length", "0.0001 mm", "1 mm")]
    length: Annotated[Measure, quantity("length", "0.1 mm", "200 mm")]
    eccentricity: Annotated[Measure, quantity("dimensionless", "0", "1")] | None = None


class Valve(Part):
    """One valve: bleeds in parallel with ports under a shim stack, and a check for the way back.

    The stack is a list from the valve face to the clamp; `bore` is the hole of the shims, `clamp` the
    diameter inside which they are held flat, `seat` the edge where they open, `load` the ring that the
    port's pressure reaches, `room` the height there is for the stack. `seat_height` is how far the seat
    stands above the clamp plane. Bleed and needle pass oil both ways unless `bleed_one_way` is true.
    """

    ports: Ports | None = None
    bore: Annotated[Measure, quantity("length", "0 mm", "120 mm")] | None = None
    clamp: Diameter | None = None
    seat: Diameter | None = None
    load: Annulus | None = None
    shims: tuple[Disc, ...] = ()
    room: Annotated[Measure, quantity("length", "0.01 mm", "50 mm")] | None = None
    seat_height: Annotated[Measure, quantity("length", "-2 mm", "2 mm")] | None = None
    youngs_modulus: Annotated[Measure, quantity("stress", "1 GPa", "500 GPa")] | None = None
    poisson: Annotated[Measure, quantity("dimensionless", "0", "0.499")] | None = None
    yield_stress: Annotated[Measure, quantity("stress", "10 MPa", "5 GPa")] | None = None
    bleed: Ports | None = None
    needle: Needle | None = None
    bleed_one_way: bool = False
    leak: Leak | None = None
    high_speed: HighSpeed | None = None
    check: Check | None = None
