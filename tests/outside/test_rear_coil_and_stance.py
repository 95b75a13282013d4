"""A coil's rate and stress, a bike's modes and how it stands, each worked out a second way.

Sources: Castigliano's theorem integrated by SciPy along a bent wire; Wahl's factors as handbooks tabulate
them and Goehner's series of 1932 for the stress of a curved bar (both from memory); proportional
damping (any textbook of vibration); NumPy's eigenvalues of the first-order system; free bodies cut at the
ground (statics).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

import forkwright as fw
from forkwright.physics import G0, helix
from forkwright.physics.pitch import PitchBody, Tyres, modes
from forkwright.ride.attitude import Stance, attitude
from forkwright.ride.course import Course
from forkwright.ride.pitch import ends_of, simulate_pitch
from forkwright.ride.pitch_layout import Layout, layout_of
from forkwright.ride.pitch_options import PitchOptions

pytestmark = pytest.mark.outside
Check = Callable[..., None]
WIRE, COIL, TURNS, MODULUS = 8.6e-3, 45.6e-3, 8.2, 79.5e9


def test_the_wire_twisted_along_its_helix_gives_the_handbook_rate(check: Check) -> None:
    """The energy of twisting, summed along the wire, gives k = G d^4 / (8 D^3 n)."""
    polar = np.pi * WIRE**4 / 32.0

    def twist(angle: float) -> float:
        """Compliance of a piece of wire: the moment of a unit force about it, squared, over G J."""
        place = 0.5 * COIL * np.array([np.cos(angle), np.sin(angle), 0.0])
        along = np.array([-np.sin(angle), np.cos(angle), 0.0])
        moment = float(np.cross(place, np.array([0.0, 0.0, 1.0])) @ along)
        return moment**2 / (MODULUS * polar) * 0.5 * COIL

    compliance = quad(twist, 0.0, 2.0 * np.pi * TURNS, limit=200)[0]
    check(
        formula="coil rate", source="Castigliano's theorem, SciPy's integral along the wire",
        expected=1.0 / compliance, got=helix.rate(WIRE, COIL, TURNS, MODULUS), tolerance=1e-9, unit="N/m",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("index", "tabulated"), [(4.0, 1.40), (5.0, 1.31), (6.0, 1.25), (8.0, 1.18), (10.0, 1.14), (12.0, 1.12)]
)
def test_the_stress_factor_is_that_of_the_handbooks(index: float, tabulated: float, check: Check) -> None:
    """Wahl's factor as tabulated over the spring index, and within 2 % of Goehner's series."""
    plain = 8.0 * 1e3 * index * WIRE / (np.pi * WIRE**3)
    factor = float(helix.shear_stress(1e3, WIRE, index * WIRE)) / plain
    check(
        formula=f"Wahl's factor, index {index:g}", source="handbook table of Wahl's factor (from memory)",
        expected=tabulated, got=factor, tolerance=0.005, relative=False,
    )  # fmt: skip
    series = 1.0 + 5.0 / (4.0 * index) + 7.0 / (8.0 * index**2) + 1.0 / index**3
    check(
        formula=f"stress of a curved wire, index {index:g}", source="Goehner's series (from memory)",
        expected=series, got=factor, tolerance=0.02,
    )  # fmt: skip


def _energy(body: PitchBody, tyres: Tyres, q: np.ndarray) -> float:
    """What springs and tyres hold at heights and pitch q, J."""
    front = q[0] + body.to_front * q[1] - q[2]
    rear = q[0] - body.to_rear * q[1] - q[3]
    return 0.5 * float(
        body.front_rate * front**2 + body.rear_rate * rear**2
        + tyres.front_stiffness * q[2] ** 2 + tyres.rear_stiffness * q[3] ** 2
    )  # fmt: skip


def test_modes_through_the_tyres_are_those_of_the_first_order_system(check: Check) -> None:
    """The energy's second differences and NumPy's eigenvalues of the first-order system give both modes."""
    body = PitchBody(90.0, 17.0, 0.72, 0.52, 12e3, 9e3)
    tyres = Tyres(3.6, 3.9, 110e3, 105e3)
    base = np.eye(4)
    stiffness = np.array(
        [
            [
                _energy(body, tyres, base[i] + base[j]) - _energy(body, tyres, base[i])
                - _energy(body, tyres, base[j])
                for j in range(4)
            ]
            for i in range(4)
        ]
    )  # fmt: skip
    mass = np.diag([90.0, 17.0, 3.6, 3.9])
    system = np.block([[np.zeros((4, 4)), np.eye(4)], [-np.linalg.solve(mass, stiffness), np.zeros((4, 4))]])
    paces = np.sort(np.unique(np.abs(np.linalg.eigvals(system).imag).round(9)))
    for mode, pace in zip(modes(body, tyres), paces[:2], strict=True):
        check(
            formula="heave and pitch through the tyres", source="NumPy's eigenvalues, first-order system",
            expected=float(pace) / (2.0 * np.pi), got=mode.frequency, tolerance=1e-8, unit="Hz",
        )  # fmt: skip


def test_damping_in_proportion_damps_each_mode_by_its_pace(check: Check) -> None:
    """Dampers in proportion b to the springs damp a mode of pace w by b w / 2 of critical."""
    share = 0.02
    body = PitchBody(90.0, 17.0, 0.72, 0.52, 12e3, 9e3, share * 12e3, share * 9e3)
    for mode in modes(body):
        check(
            formula="damping ratio of a mode", source="proportional damping (any textbook of vibration)",
            expected=share * np.pi * mode.frequency, got=mode.damping, tolerance=1e-9,
        )  # fmt: skip


@pytest.fixture(scope="module")
def bench() -> dict[str, Any]:
    """The demonstration bike with its ends."""
    found: dict[str, Any] = {
        name: fw.load(fw.demo_file(name)) for name in ("dunlin-160", "linnet-65", "rider", "bike")
    }
    found["layout"] = layout_of(found["rider"], found["bike"])
    found["ends"] = ends_of(
        found["dunlin-160"], found["linnet-65"], found["rider"], found["bike"], None, None, fw.Conditions()
    )
    return found


def _front_contact(layout: Layout, stance: Stance, shift: float) -> float:
    """Load of the front tyre (N): moments of the whole bike about the rear tyre's contact."""
    slope = np.arctan(stance.gradient)
    ahead = layout.mass * layout.to_rear + layout.unsprung_front * layout.wheelbase
    weight = ahead * G0 * np.cos(slope) + layout.rider_mass * G0 * np.cos(slope) * shift
    inertia = layout.whole_mass * (stance.speed_change + G0 * np.sin(slope)) * layout.centre_height
    return float((weight - inertia) / layout.wheelbase)


@pytest.mark.parametrize(
    ("stance", "shift"),
    [
        (Stance(0.15), 0.0), (Stance(-0.2), 0.0), (Stance(0.0, -3.0), 0.0), (Stance(-0.15, -2.0), -0.1),
        (Stance(), 0.1),
    ],
)  # fmt: skip
def test_what_is_held_balances_at_the_ground(
    stance: Stance, shift: float, bench: dict[str, Any], check: Check
) -> None:
    """The front's load is that of the whole bike as a free body; fork and brake carry it together."""
    layout, options = bench["layout"], PitchOptions()
    tilt = float(bench["bike"].head_angle.si)
    found = attitude(bench["ends"], layout, options, stance, tilt, shift)
    slope = np.arctan(stance.gradient)
    expected = _front_contact(layout, stance, shift) - layout.unsprung_front * G0 * np.cos(slope)
    check(
        formula="front load on a slope and under the brakes", source="free body about the rear contact",
        expected=expected, got=found.front_load, tolerance=1e-9, unit="N",
    )  # fmt: skip
    front = bench["ends"][0]
    assert found.front_travel is not None  # no wheel lifts here, and the fork is between its stops
    assert 0.0 < found.front_travel < front.full
    brake = 0.7 * max(0.0, -layout.whole_mass * (stance.speed_change + G0 * np.sin(slope)))
    spring = float(np.interp(found.front_travel, front.travel, front.spring))
    assert spring == pytest.approx(found.front_load + brake / np.tan(tilt), rel=1e-6)


@pytest.mark.parametrize("gradient", [0.1, -0.1])
def test_what_is_held_is_where_a_ride_settles(gradient: float, bench: dict[str, Any]) -> None:
    """A ride along a slope starts and stays where the held attitude says, both ends."""
    distance, still = np.linspace(0.0, 30.0, 1001), np.zeros(1001)
    course = Course("slope", distance, still, still + 6.0, still + 1.0, still + gradient)
    ride = simulate_pitch(
        bench["dunlin-160"], bench["linnet-65"], course, rider=bench["rider"], bike=bench["bike"]
    )
    held = attitude(
        bench["ends"], bench["layout"], PitchOptions(), Stance(gradient), float(bench["bike"].head_angle.si)
    )
    assert ride.front_travel[-1] == pytest.approx(held.fork_travel, abs=1e-5)
    assert ride.rear_stroke[-1] == pytest.approx(held.shock_stroke, abs=1e-5)
