"""The parts of a unit that are neither air spring nor damper: chassis, lower legs, bumpers, coil."""

from __future__ import annotations

from typing import Annotated, Literal

from forkwright.hardware.fields import Part, quantity
from forkwright.units import Measure


class Chassis(Part):
    """Stanchions, bushings and axle of a fork.

    `axle_misalignment` is what is clamped into the axle; a floating axle sets it to nothing.
    `breakaway` multiplies the running friction at rest; when it is not given, 1 is taken.
    """

    stanchion_outer: Annotated[Measure, quantity("length", "5 mm", "100 mm")]
    stanchion_wall: Annotated[Measure, quantity("length", "0.2 mm", "20 mm")] | None = None
    stanchion_modulus: Annotated[Measure, quantity("stress", "1 GPa", "500 GPa")] | None = None
    axle_to_lower_bushing: Annotated[Measure, quantity("length", "1 mm", "1000 mm")] | None = None
    bushing_spacing: Annotated[Measure, quantity("length", "5 mm", "500 mm")] | None = None
    bushing_friction: Annotated[Measure, quantity("dimensionless", "0", "1")] | None = None
    breakaway: Annotated[Measure, quantity("dimensionless", "1", "4")] | None = None
    axle: Literal["floating", "fixed"] = "floating"
    axle_misalignment: Annotated[Measure, quantity("length", "-5 mm", "5 mm")] | None = None
    axle_to_crown: Annotated[Measure, quantity("length", "100 mm", "900 mm")] | None = None
    leg_spacing: Annotated[Measure, quantity("length", "50 mm", "300 mm")] | None = None


class LowerLegs(Part):
    """The air trapped in each lower leg.

    `ingested` is the gauge pressure that air drawn past the wipers has added at full extension since the
    vent ports were last opened.
    """

    air_volume: Annotated[Measure, quantity("volume", "0.1 ml", "5000 ml")]
    vent_ports: bool = False
    ingested: Annotated[Measure, quantity("pressure", "-10 psi", "100 psi")] | None = None


class TopOut(Part):
    """The stop at full extension; it just touches at zero travel and acts beyond it."""

    rate: Annotated[Measure, quantity("stiffness", "0.01 N/mm", "100000 N/mm")]


class BottomOut(Part):
    """The bumper at the end of the travel: force = rate * length * (c / length) ** exponent."""

    length: Annotated[Measure, quantity("length", "0.1 mm", "200 mm")]
    rate: Annotated[Measure, quantity("stiffness", "0 N/mm", "100000 N/mm")]
    exponent: Annotated[Measure, quantity("dimensionless", "0.5", "10")] = Measure(1.0, text="1.0")


class Bumpers(Part):
    """The stops at both ends of the travel."""

    top_out: TopOut | None = None
    bottom_out: BottomOut | None = None


class CoilSpring(Part):
    """A coil as the main spring.

    `solid_travel` is the compression of the coil at which its turns touch. The wire measures are optional;
    with them the rate is compared with the handbook's and the stress is checked; with `free_length` and
    `total_turns` (ends closed and ground) `solid_travel` can be left out.
    """

    rate: Annotated[Measure, quantity("stiffness", "0.1 N/mm", "2000 N/mm")]
    preload: Annotated[Measure, quantity("length", "0 mm", "50 mm")] | None = None
    solid_travel: Annotated[Measure, quantity("length", "1 mm", "500 mm")] | None = None
    wire_diameter: Annotated[Measure, quantity("length", "1 mm", "40 mm")] | None = None
    mean_diameter: Annotated[Measure, quantity("length", "5 mm", "200 mm")] | None = None
    active_turns: Annotated[Measure, quantity("dimensionless", "0.5", "60")] | None = None
    total_turns: Annotated[Measure, quantity("dimensionless", "0.5", "70")] | None = None
    free_length: Annotated[Measure, quantity("length", "10 mm", "1000 mm")] | None = None
    shear_modulus: Annotated[Measure, quantity("stress", "10 GPa", "200 GPa")] | None = None
    allowed_stress: Annotated[Measure, quantity("stress", "50 MPa", "3000 MPa")] | None = None
