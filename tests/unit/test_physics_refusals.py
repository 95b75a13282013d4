"""What the physics refuses rather than answer: points and parts that nature would not give."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pytest

from forkwright.physics import Unphysical
from forkwright.physics.air_spring import Chambers, Fill, charge, state
from forkwright.physics.annular_gap import annulus_conductance
from forkwright.physics.atmosphere import standard_pressure
from forkwright.physics.floating_piston import FloatingPiston
from forkwright.physics.helix import rate
from forkwright.physics.leverage import Linkage
from forkwright.physics.needle import needle_opening
from forkwright.physics.oil import walther_constants, walther_viscosity
from forkwright.physics.pitch import PitchBody, modes
from forkwright.physics.reservoir import check_room
from forkwright.physics.shims import BackingSpring, Fulcrum, Shim, ShimLoad, ShimStack, opening, opening_map
from forkwright.physics.tyre import stiffness_from_points
from forkwright.physics.viscosity_index import viscosity_from_index, viscosity_index

AREA, RING = 8e-4, 7e-4  # m2, of a piston and of the ring behind it
CHAMBERS = Chambers(AREA, RING, 2.0e-4, 0.5e-4, 5e-3)
DISC = Shim(10e-3, 0.15e-3)
STACK = ShimStack((DISC,), 4e-3, 2e-3, 206e9, 0.3)
LOAD = ShimLoad(5e-3, 8e-3)
POINTS = [(1.5e5, 7.0e4), (2.0e5, 8.5e4)]


def pushed(chambers: Chambers, x: float, fill: Fill = Fill(7e5)) -> float:  # noqa: B008 - it cannot be changed
    """The force of an air spring at one compression."""
    gas = charge(chambers, fill, 1.0, 101325.0)
    return float(state(chambers, gas, np.array([x]), 101325.0).force[0])


def linked(wheel: list[float], stroke: list[float], smoothing: float = 0.0) -> Linkage:
    return Linkage(np.array(wheel), np.array(stroke), smoothing)


def lift(seat: float = 9.5e-3, pressure: float = 1e5, **more: Any) -> float:
    return float(opening(STACK, more.pop("load", LOAD), seat, [pressure], **more).opening[0])


def floating(secondary: float | None) -> float:
    """The force of an air spring with a floating piston behind it."""
    chambers = Chambers(AREA, RING, 2.0e-4, 0.5e-4, 5e-3, FloatingPiston(4e-4, 4e-4, 3.8e-5, 0.08))
    return pushed(chambers, 0.1, Fill(7e5, secondary=secondary))


def valved(negative: float | None) -> float:
    """The force of an air spring whose negative chamber has a valve of its own."""
    return pushed(Chambers(AREA, RING, 2.0e-4, 0.5e-4), 0.1, Fill(7e5, negative=negative))


def body(mass: float) -> Any:
    return modes(PitchBody(mass, 12.0, 0.6, 0.6, 9e3, 9e3))


# What is asked, the last value that is answered, one that is refused, and why.
REFUSALS: dict[str, tuple[Callable[[Any], Any], Any, Any, str]] = {
    "used up at the end": (partial(pushed, CHAMBERS), 0.249, 0.251, "positive chamber would be compressed"),
    "pulled out": (partial(pushed, CHAMBERS), -0.071, -0.072, "negative chamber would be compressed"),
    "used up at the port": (
        lambda x: pushed(Chambers(AREA, RING, 2.0e-4, 0.5e-4, x), 0.0), 0.249, 0.251,
        "no volume left at the transfer point",
    ),
    "floating piston": (floating, 1.2e6, None, "needs a secondary set pressure"),
    "negative valve": (valved, 6e5, None, "valve needs a set pressure"),
    "needle pushed in": (partial(needle_opening, 3e-3, 0.26), 0.0, -1e-9, "below its closed position"),
    "needle angle": (lambda a: needle_opening(3e-3, a, 5e-4), 1.57, math.pi / 2, "between 0 and 90 degrees"),
    "rod in its bore": (partial(annulus_conductance, 4e-3, 3.9e-3, 0.01, 0.014), 9.9e-5, 1.01e-4, "must fit"),
    "thick wire": (lambda d: rate(d, 0.048, 5.5, 78.5e9), 0.0479, 0.048, "thinner than its coil"),
    "high up": (standard_pressure, 11_000.0, 11_001.0, "no standard atmosphere at an altitude of 11001 m"),
    "deep down": (standard_pressure, -1_000.0, -1_001.0, "no standard atmosphere"),
    "full reservoir": (partial(check_room, 2.0e-5), 2.0e-5, 1.9e-5, "displaces 20.00 ml, .* room for 19.00"),
    "massless body": (body, 1e-3, 0.0, "must all be above zero"),
    "body of no number": (body, 80.0, math.nan, "must all be above zero"),
    "thin for an index": (lambda v: viscosity_index(2e-5, v), 2e-6, 1.99e-6, "for 2 to 15 cSt"),
    "index beyond oils": (partial(viscosity_from_index, 2.283e-5), 156.0, 900.0, "no oil between 2 and 15"),
    "oil points turned": (
        lambda t: walther_constants(313.0, 3.2e-5, t, 5.4e-6), 314.0, 313.0, "must be the hotter one"
    ),
    "oil that thickens": (
        lambda v: walther_constants(313.0, 3.2e-5, 373.0, v), 3.1e-5, 3.2e-5, "gets thinner as it warms"
    ),
    "frozen oil": (partial(walther_viscosity, 9.5259, 3.7449), 240.0, 200.0, "at -73 °C .* thicker than"),
    "two leverage points": (
        lambda n: linked([0, 0.05, 0.1][:n], [0, 0.02, 0.04][:n]), 3, 2, "at least three points"
    ),
    "leverage of no number": (
        lambda s: linked([0, 0.05, 0.1], [0, s, 0.04]), 0.02, math.nan, "must hold finite numbers"
    ),
    "leverage that starts late": (lambda s: linked([0, 0.05, 0.1], [s, 0.02, 0.04]), 0.0, 1e-3, "starts at"),
    "too few to smooth": (
        lambda n: linked(list(np.linspace(0, 0.1, n)), list(np.linspace(0, 0.04, n)), 0.02), 5, 4,
        "smoothing a leverage curve needs at least 5 points",
    ),
    "step badly smoothed": (
        lambda w: linked([i / 100 for i in range(16)], [i / 1e4 + 0.03 * (i > 7) for i in range(16)], w),
        0.2, 0.04, "turns back: smooth it less",
    ),
    "leverage that turns": (lambda s: linked([0, 0.05, 0.1], [0, s, 0.04]), 0.039, 0.04, "must rise from"),
    "seat beyond the rim": (lift, 10e-3, 10.1e-3, "the seat .* must lie between the clamp"),
    "seat on the clamp": (lift, 4.1e-3, 4e-3, "the seat .* must lie between the clamp"),
    "sucked shim": (lambda p: lift(pressure=p), 0.0, -1.0, "opens one way only"),
    "pressed inside the clamp": (
        lambda r: lift(load=ShimLoad(1e-3, r)), 4.1e-3, 4e-3, "nothing lifts the disc"
    ),
    "ring beyond the rim": (lambda r: lift(load=ShimLoad.ring(r)), 10e-3, 11e-3, "the ring load must act on"),
    "fulcrum on the clamp": (lambda r: lift(fulcrum=Fulcrum(r, 1e-4)), 6e-3, 4e-3, "the fulcrum must press"),
    "spring that pulls": (
        lambda k: lift(backing_spring=BackingSpring(6e-3, k, 1.0)), 0.0, -1.0, "rate is negative"
    ),
    "map to nothing": (partial(opening_map, STACK, LOAD, 9.5e-3), 1.0, 0.0, "must be above zero, not 0 Pa"),
    "shim of no thickness": (
        lambda h: ShimStack((Shim(10e-3, h),), 4e-3, 2e-3, 206e9, 0.3), 1e-5, 0.0, "thickness must be above"
    ),
    "shim in the clamp": (
        lambda r: ShimStack((Shim(r, 1e-4),), 4e-3, 2e-3, 206e9, 0.3), 4.1e-3, 4e-3, "belongs to the clamp"
    ),
    "flat tyre": (lambda p: stiffness_from_points(p, POINTS), 1.0, 0.0, "must be above zero"),
    "tyre without points": (lambda n: stiffness_from_points(1.7e5, POINTS[:n]), 1, 0, "at least one point"),
    "tyre carried on": (
        lambda p: stiffness_from_points(p, [(1.5e5, 7.0e4), (2.0e5, 14e4)]), 1.01e5, 1e5, "no positive"
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSALS)
def test_the_last_that_can_be_is_answered_and_the_next_refused(case: str) -> None:
    """On this side of the edge there is an answer; beyond it, words that say what cannot be."""
    ask, last, beyond, words = REFUSALS[case]
    ask(last)
    with pytest.raises(Unphysical, match=words):
        ask(beyond)


@pytest.mark.parametrize("pressure", [1.4e5, 1.5e5, 1.9e5])
def test_two_stiffnesses_at_one_pressure_are_refused(pressure: float) -> None:
    """Between them the stiffness would rise without end."""
    with pytest.raises(Unphysical, match="one pressure"):
        stiffness_from_points(pressure, [(1.5e5, 7.0e4), (1.5e5, 7.2e4), (2.0e5, 9.0e4)])
