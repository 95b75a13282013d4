"""Laws the ride's gas obeys: limits of heat exchange, the loss peak, and the energy account."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from forkwright.bench import Conditions, spring_curve
from forkwright.hardware import load
from forkwright.physics import Unphysical
from forkwright.physics.gas_thermal import heat_content_rate, small_stroke_stiffness
from forkwright.ride.audit import audit_energy
from forkwright.ride.build import ride_parameters
from forkwright.ride.course_file import load_course
from forkwright.ride.kernel import run
from forkwright.ride.options import DampingTable, HeatPaths, RideOptions
from forkwright.ride.parameters import RideParameters, defaults
from forkwright.ride.rest import rest
from forkwright.ride.simulate import RideResult, simulate
from forkwright.ride.state import Powers, State

G = 9.80665
DAMPING = DampingTable.linear(600.0, 1400.0)


def ride(demo_dir: Path, fork: str, heat: HeatPaths, **more: object) -> RideResult:
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in (fork, "rider", "bike"))
    course = load_course(demo_dir / "courses" / "heather-traverse.toml")
    options = RideOptions(damping=DAMPING, heat=heat, **more)
    return simulate(unit, course, rider=rider, bike=bike, options=options)


def volume(result: RideResult) -> np.ndarray:
    p = result.parameters
    return p.positive_volume - p.positive_area * result.travel + p.floating_area * result.floating


@pytest.mark.parametrize("fork", ["dunlin-160", "plover-160"])
def test_without_heat_the_gas_stays_on_its_adiabat(demo_dir: Path, fork: str) -> None:
    """With no heat to the walls p V^1.4 keeps its value through a whole rough ride."""
    forever = HeatPaths(np.inf, np.inf, np.inf, np.inf)
    result = ride(demo_dir, fork, forever)
    adiabat = result.positive * volume(result) ** 1.4
    assert np.ptp(adiabat) / adiabat[0] < 2e-5
    assert result.audit.gas == pytest.approx(0.0, abs=1e-9)


def test_with_all_heat_the_gas_stays_on_its_isotherm(demo_dir: Path) -> None:
    """With no time constant p V keeps its value, and a very short one comes close to that."""
    still = ride(demo_dir, "dunlin-160", HeatPaths(0.0, 0.0, 0.0, 0.0))
    isotherm = still.positive * volume(still)
    assert np.ptp(isotherm) / isotherm[0] < 1e-12
    quick = ride(demo_dir, "dunlin-160", HeatPaths(1e-3, 1e-3, 1e-3, 1e-3))
    assert quick.scores.riding_sag_m == pytest.approx(still.scores.riding_sag_m, rel=2e-3)


def test_a_real_gas_rides_between_the_limits(demo_dir: Path) -> None:
    """Heat exchange makes the spring neither as soft as the isotherm nor as stiff as the adiabat."""
    deepest = [
        ride(demo_dir, "dunlin-160", HeatPaths(tau, tau, tau, tau)).scores.greatest_travel_m
        for tau in (0.0, 0.2, np.inf)
    ]
    assert deepest[0] > deepest[1] > deepest[2]


@pytest.mark.parametrize("angle", [0.2, 1.0, 5.0])
def test_loss_of_a_shaken_chamber_is_that_of_theory(angle: float) -> None:
    """The heat a gently shaken chamber gives off per cycle follows the complex stiffness, peaking at w tau
    = 1."""
    pressure, volume_, area, frequency, size = 7e5, 2e-4, 8e-4, 2.0, 2e-4
    w = 2.0 * np.pi * frequency
    tau = angle / w
    p = defaults(1e15, 0.05, 1e7, 1.0)._replace(  # an immovable body, a wheel that follows the ground
        ambient=0.0,
        positive_volume=volume_,
        positive_area=area,
        positive_content=pressure * volume_,
        positive_heat_rate=1.0 / tau,
        damper_force=np.array([-500.0, 500.0]),
    )
    step, cycles = 1e-5, 3 if angle < 2.0 else 16
    time = 0.5 * step * np.arange(2 * int(cycles / frequency / step) + 1)
    road = np.zeros((time.size, 4))
    road[:, 0], road[:, 1] = size * np.sin(w * time), size * w * np.cos(w * time)
    sink = pressure * area / p.tyre_stiffness
    start = State(-sink, 0.0, 0.0, 0.0, 0.0, 0.0, p.positive_content, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    series = np.empty(((time.size - 1) // 2 + 1, 8))
    run(p, start, road, step, series)
    last = round(1.0 / frequency / step)
    stroke, content = series[-last:, 0], series[-last:, 5]
    turning = np.exp(-1j * w * step * np.arange(last))
    found = area * (turning @ (content / (volume_ - area * stroke))) / (turning @ stroke)
    expected = small_stroke_stiffness(frequency, pressure, volume_, area, tau)
    assert found.imag == pytest.approx(expected.imag, rel=5e-3)
    assert found.real == pytest.approx(expected.real, rel=5e-3)


def test_loss_factor_peaks_where_theory_puts_it() -> None:
    """The imaginary part peaks at w tau = 1 with (gamma - 1)/2 of the isothermal stiffness."""
    frequency = np.geomspace(0.01, 10.0, 4001)
    K = small_stroke_stiffness(frequency, 1.0, 1.0, 1.0, 1.0)
    peak = np.argmax(K.imag)
    assert 2.0 * np.pi * frequency[peak] == pytest.approx(1.0, rel=2e-3)
    assert K.imag[peak] == pytest.approx(0.2, rel=1e-5)
    assert K.real[0] == pytest.approx(1.0, rel=5e-3)
    assert K.real[-1] == pytest.approx(1.4, rel=1e-3)
    assert float(heat_content_rate(1.0, 2.0, 0.0, 1.0, 3.0)) == 0.0


@pytest.mark.parametrize("fork", ["dunlin-160", "plover-160"])
def test_ride_begins_where_the_bench_puts_the_sag(demo_dir: Path, fork: str) -> None:
    """The ride's rest is the point of the slow spring curve that carries the load."""
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in (fork, "rider", "bike"))
    p, _ = ride_parameters(unit, unit.setting, rider, bike, Conditions(), RideOptions(damping=DAMPING))
    at = rest(p, 0.0, G, 0.0)
    curve = spring_curve(unit, travel=np.array([at.travel]))
    assert curve.force[0] == pytest.approx(p.sprung_mass * G * p.axis_sine, rel=1e-6)
    assert curve.floating[0] == pytest.approx(at.floating, abs=1e-8)


def falling(height: float) -> tuple[RideParameters, State, np.ndarray, float]:
    p = defaults(30.0, 3.0, 9e4, 0.2)._replace(
        coil_rate=8000.0,
        coil_force=120.0,
        top_out_rate=6e4,
        stop_rate=3e5,
        damper_force=np.array([-6400.0, 6400.0]),
        damper_lowest_speed=-8.0,
        damper_speed_step=16.0,
        friction_force=20.0,
        tyre_loss=0.1,
    )
    start = State(height + 0.002, -0.002, *np.zeros(12).tolist())
    road = np.zeros((40001, 4))
    road[:, 2] = G
    return p, start, road, 2.5e-4


@pytest.mark.parametrize("height", [0.2, 0.8])
def test_a_dropped_bike_lands_at_the_speed_of_its_fall(height: float) -> None:
    """Until the tyre touches, the centre of mass falls freely; then all its energy is accounted for."""
    p, start, road, step = falling(height)
    series = np.empty((20001, 8))
    end, works, _ = run(p, start, road, step, series)
    touch = int(np.argmax(series[:, 4] > 0.0)) - 1
    whole = p.sprung_mass + p.unsprung_mass
    centre = series[:, 2] + p.unsprung_mass / whole * series[:, 0]
    speed = (centre[touch] - centre[touch - 1]) / step - 0.5 * G * step  # at the end of that step
    fallen = centre[0] - centre[touch]
    assert -speed == pytest.approx(np.sqrt(2.0 * G * fallen), rel=1e-4)
    assert fallen == pytest.approx(height, abs=4e-3)
    audit = audit_energy(p, start, end, works, (0.0, 0.0))
    sunk = centre[0] - centre[-1]
    assert audit.weight == pytest.approx(whole * G * sunk, rel=1e-6)
    assert audit.damper + audit.friction + audit.tyre + audit.stored == pytest.approx(audit.weight, rel=1e-3)


def test_an_account_that_does_not_balance_is_refused() -> None:
    """Energy from nowhere makes the audit refuse the ride, as does a number that is not finite."""
    p, start, road, step = falling(0.3)
    end, works, _ = run(p, start, road, step, np.empty((20001, 8)))
    audit_energy(p, start, end, works, (0.0, 0.0))
    wrong = Powers(*works)._replace(damper=0.99 * works.damper)
    with pytest.raises(Unphysical, match="does not balance"):
        audit_energy(p, start, end, wrong, (0.0, 0.0))
    with pytest.raises(Unphysical, match="not finite"):
        audit_energy(p, start, end._replace(speed=np.nan), works, (0.0, 0.0))


def test_a_step_far_too_long_is_refused(demo_dir: Path) -> None:
    """A step beyond the method's stability does not return a ride."""
    with pytest.raises(Unphysical):
        ride(demo_dir, "dunlin-160", HeatPaths(), step=8e-3)


def test_scores_do_not_change_with_a_shorter_step(demo_dir: Path) -> None:
    """At half the chosen step every score stays within half a per cent, and counts within one touch in a
    hundred."""
    long = ride(demo_dir, "dunlin-160", HeatPaths())
    short = ride(demo_dir, "dunlin-160", HeatPaths(), step=0.5 * long.step)
    for name, value in long.scores.numbers().items():
        counted = isinstance(value, int)
        allowed = {"rel": 1e-2, "abs": 1.0} if counted else {"rel": 5e-3, "abs": 1e-3}
        assert value == pytest.approx(short.scores.numbers()[name], **allowed), name


def test_friction_holds_a_unit_until_it_breaks_away() -> None:
    """Under a slowly growing load the unit stays still, then moves at the break-away force."""
    p = defaults(30.0, 3.0, 9e4, 0.2)._replace(
        coil_rate=8000.0, coil_force=0.0, stop_rate=3e5, friction_force=30.0, breakaway=1.5,
        damper_force=np.array([-6400.0, 6400.0]), damper_lowest_speed=-8.0, damper_speed_step=16.0,
    )  # fmt: skip
    step, seconds = 5e-4, 10.0
    time = 0.5 * step * np.arange(2 * int(seconds / step) + 1)
    road = np.zeros((time.size, 4))
    road[:, 2] = G
    road[:, 3] = -10.0 * time  # 10 N more on the sprung mass each second
    series = np.empty((int(seconds / step) + 1, 8))
    start = rest(p, 0.0, G, 0.0)
    run(p, start, road, step, series)
    moved = np.abs(series[:, 0] - start.travel) > 1e-9
    first = int(np.argmax(moved))
    assert moved.any()
    assert 10.0 * first * step == pytest.approx(45.0, rel=0.02)


def test_friction_loop_takes_four_times_force_times_stroke() -> None:
    """A slow cycle through a stroke X either way loses 4 F X to friction (Coulomb identity)."""
    p = defaults(1e9, 0.5, 1e7, 0.5)._replace(
        coil_rate=8000.0, coil_force=4000.0, friction_force=25.0,
        damper_force=np.array([-800.0, 800.0]), damper_lowest_speed=-8.0, damper_speed_step=16.0,
    )  # fmt: skip
    step, size, frequency = 2e-5, 0.02, 0.5
    time = 0.5 * step * np.arange(2 * int(2.0 / frequency / step) + 1)
    w = 2.0 * np.pi * frequency
    road = np.zeros((time.size, 4))
    road[:, 0], road[:, 1] = size * np.sin(w * time), size * w * np.cos(w * time)
    start = State(-4000.0 / p.tyre_stiffness, *np.zeros(13).tolist())
    _, works, _ = run(p, start, road, step, np.empty(((time.size - 1) // 2 + 1, 8)))
    assert works.friction == pytest.approx(2 * 4.0 * 25.0 * size, rel=5e-3)


def test_limbs_and_leverage_keep_the_energy_account(demo_dir: Path) -> None:
    """A rider on limbs and a rear unit behind a leverage curve balance as a plain fork does."""
    from forkwright.ride.options import Limbs

    with_limbs = ride(demo_dir, "plover-160", HeatPaths(), limbs=Limbs())
    assert with_limbs.audit.imbalance < 5e-4
    assert with_limbs.audit.rider > 0.0
    assert np.ptp(with_limbs.rider_height) > 0.01
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in ("dunlin-160", "rider", "bike"))
    shock = unit.model_copy(update={"kind": "shock"})
    course = load_course(demo_dir / "courses" / "heather-traverse.toml")
    options = RideOptions(damping=DAMPING, leverage=((0.0, 0.0), (0.1, 0.10), (0.2, 0.19)))
    rear = simulate(shock, course, rider=rider, bike=bike, options=options)
    assert rear.audit.imbalance < 5e-4
    assert 0.02 < rear.scores.static_sag_m < 0.16
    assert dataclasses.asdict(rear.audit)["damper"] > 0.0
