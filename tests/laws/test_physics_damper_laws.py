"""What must hold for any valve and any damper circuit: limits, monotony, energy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from forkwright.physics import Unphysical
from forkwright.physics.curtain import Curtain, LiftMap, sprung_plate
from forkwright.physics.damper_circuit import Circuit, steady_state
from forkwright.physics.damper_valve import Valve
from forkwright.physics.orifice import round_holes, slit

DENSITY = 850.0


def valve(
    viscosity: float = 0.0136, *, hole: float = 0.9e-3, preload: float = 0.0, leak: float = 0.0
) -> Valve:
    """A valve with every path: bleed, port, shims that crack at `preload` (Pa)."""
    knots = [0.0, preload, preload + 8e5, preload + 3e6] if preload else [0.0, 8e5, 3e6]
    lifts = [0.0, 0.0, 0.15e-3, 0.3e-3] if preload else [0.0, 0.15e-3, 0.3e-3]
    curtain = Curtain(
        slit(1.0, math.pi * 18e-3, DENSITY, viscosity), LiftMap(np.array(knots), np.array(lifts), 3e-11)
    )
    port = round_holes(3e-3, 6, DENSITY, viscosity, length=6e-3)
    bleeds = (round_holes(hole, 1, DENSITY, viscosity),) if hole else ()
    return Valve("valve", bleeds, leak, port, curtain)


def circuit(one: Valve, other: Valve | None = None, **changed: float) -> Circuit:
    """A damper with `one` where it damps and a check where it lets pass."""
    plate = sprung_plate(3e-4, 0.5, 500.0, 1e-3)
    check = other or Valve(
        "check", (), 0.0, round_holes(3.4e-3, 8, DENSITY, 0.0136),
        Curtain(slit(1.0, math.pi * 20e-3, DENSITY, 0.0136), plate),
    )  # fmt: skip
    sizes = {
        "reservoir_pressure": 3e5, "reservoir_friction": 1e4, "seal_friction": 5.0,
        "ambient_pressure": 101325.0, "parting_pressure": 6e3,
    } | changed  # fmt: skip
    return Circuit(4.5e-4, 0.8e-4, one, check, check, one, **sizes)


@given(
    flow=st.floats(1e-9, 1e-3),
    preload=st.sampled_from([0.0, 3e5]),
    hole=st.sampled_from([0.0, 0.6e-3, 2e-3]),
    leak=st.sampled_from([0.0, 1e-12]),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_a_valve_passes_what_is_asked_and_no_more(flow, preload, hole, leak):
    """The solved paths carry the flow asked for, and SciPy's root finder agrees on the drop."""
    one = valve(preload=preload, hole=hole, leak=leak)
    state = one.state(np.array([flow]))
    total = float((state.bleed_flow + state.leak_flow + state.main_flow)[0])
    assert total == pytest.approx(flow, rel=1e-9)
    root = brentq(
        lambda drop: float(one.flow_at_drop(np.array([drop]))[0]) - flow, 0.0, 1e10, xtol=1e-6, rtol=1e-13
    )
    assert float(state.drop[0]) == pytest.approx(root, rel=1e-6, abs=1e-3)


@given(speeds=st.lists(st.floats(-5.0, 5.0), min_size=2, max_size=12, unique=True))
@settings(max_examples=40, deadline=None)
def test_force_grows_with_speed_everywhere(speeds):
    """A faster shaft is never pushed back less."""
    speed = np.sort(np.array(speeds))
    force = steady_state(circuit(valve(preload=2e5)), speed).force
    assert np.all(np.diff(force) >= -1e-9 * np.abs(force[1:]))


def test_rigid_valve_is_the_square_law():
    """No viscosity and no shims: force less gas and friction is C v^2 with C from the orifice equation."""
    hole = Valve("hole", (), 0.0, round_holes(2e-3, 2, DENSITY, 0.0, discharge=0.7), None)
    rig = circuit(hole, hole, seal_friction=0.0, reservoir_friction=0.0)
    speed = np.array([-4.0, -1.0, -0.1, 0.1, 1.0, 4.0])
    found = steady_state(rig, speed)
    annulus = rig.tube_area - rig.shaft_area
    per_flow = 0.5 * DENSITY / (0.7 * 2 * math.pi * 1e-3**2) ** 2
    constant = per_flow * (rig.shaft_area**3 + annulus**3)
    gas = (3e5 - 101325.0) * rig.shaft_area
    assert found.force - gas == pytest.approx(constant * speed * np.abs(speed), rel=1e-9)


def test_laminar_limit_is_linear_in_viscosity_and_speed():
    """Very thick oil at creeping speed: force doubles with viscosity and with speed."""

    def force(viscosity: float, speed: float) -> float:
        hole = Valve("hole", (), 0.0, round_holes(1e-3, 4, DENSITY, viscosity, length=5e-3), None)
        rig = circuit(hole, hole, seal_friction=0.0, reservoir_friction=0.0, reservoir_pressure=101325.0)
        return float(steady_state(rig, np.array([speed])).force[0])

    base = force(5.0, 1e-6)
    assert force(10.0, 1e-6) == pytest.approx(2 * base, rel=1e-5)
    assert force(5.0, 2e-6) == pytest.approx(2 * base, rel=1e-5)
    assert force(5.0, -1e-6) == pytest.approx(-base, rel=1e-9)


def test_force_times_speed_is_what_the_paths_lose_plus_the_gas(check):
    """Energy identity: F v = sum of dp Q over both valves + gas power + friction power.

    Each Q is what the valve passes at its drop, not what the piston displaces.
    """
    rig = circuit(valve(preload=2e5, leak=2e-13))
    speed = np.array([-3.0, -0.4, -0.01, 0.01, 0.4, 3.0])
    found = steady_state(rig, speed)
    lost = np.zeros_like(speed)
    ways = (rig.base_compression, rig.base_return, rig.piston_compression, rig.piston_rebound)
    for way, state in zip(ways, (*found.base, *found.piston), strict=True):
        lost += state.drop * way.flow_at_drop(state.drop)
    gas = (found.reservoir - rig.ambient_pressure) * rig.shaft_area * speed
    power = lost + gas + rig.seal_friction * np.abs(speed)
    assert found.force * speed == pytest.approx(power, rel=1e-9)
    assert sum(found.by_path.values()) == pytest.approx(found.force, rel=1e-9)
    check(
        formula="damper power at 3 m/s", source="derived: F v = sum dp Q + gas power + friction",
        expected=power[-1], got=found.force[-1] * 3.0, tolerance=1e-9, unit="W",
    )  # fmt: skip


def test_at_rest_only_the_gas_pushes():
    """Zero speed: reservoir pressure over the shaft, no friction, no drop anywhere."""
    found = steady_state(circuit(valve()), np.array([0.0]))
    assert found.force[0] == pytest.approx((3e5 - 101325.0) * 0.8e-4)
    assert found.compression_chamber[0] == found.shaft_chamber[0] == found.reservoir[0]


def test_a_preloaded_valve_without_bleed_cracks_at_its_preload():
    """As the flow goes to nothing, the drop goes to the cracking pressure, not to zero."""
    state = valve(hole=0.0, preload=3e5).state(np.array([1e-12, 0.0]))
    assert state.drop[0] == pytest.approx(3e5, rel=1e-2)
    assert state.drop[1] == 0.0


def test_a_closed_circuit_is_named():
    """No bleed, no port: there is no path, and the message says where."""
    shut = Valve("rebound valve")
    with pytest.raises(Unphysical, match="rebound valve is closed: there is no path"):
        steady_state(
            circuit(valve(), None).__class__(**{**vars(circuit(valve())), "piston_rebound": shut}),
            np.array([-1.0]),
        )


def test_check_plate_opens_at_its_preload_and_stops():
    """Closed below preload / area, then linear, then on its stop."""
    plate = sprung_plate(1e-4, 2.0, 1000.0, 0.5e-3)
    lift, _ = plate.at(np.array([0.0, 1.9e4, 2.2e4, 1e7]))
    assert lift == pytest.approx([0.0, 0.0, 0.2e-3, 0.5e-3])
