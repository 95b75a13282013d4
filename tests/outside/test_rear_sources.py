"""Coils, linkage and the pitch plane against textbooks, closed forms and an implicit solver.

Sources: Budynas & Nisbett, "Shigley's Mechanical Engineering Design", example 10-1 (from memory; the
numbers follow from its data); Thomson, "Theory of Vibration with Applications", the automobile in heave and
pitch (from memory; recomputed here by NumPy's general eigenvalues); Gillespie, "Fundamentals of Vehicle
Dynamics", ch. 5, wheelbase filtering (from memory); SciPy's integrals and solvers.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

import forkwright as fw
from forkwright.bench.rear_spring import wheel_curve
from forkwright.physics import helix
from forkwright.physics.leverage import Linkage
from forkwright.physics.pitch import PitchBody, Tyres, dynamic_index, modes, wheelbase_filter
from forkwright.ride.pitch_kernel import PitchParameters, run

pytestmark = pytest.mark.outside

INCH, POUND = 0.0254, 4.4482216152605
SHIGLEY = "Budynas & Nisbett, Shigley's Mechanical Engineering Design, example 10-1 (from memory)"
THOMSON = "Thomson, Theory of Vibration, automobile in heave and pitch (from memory)"


def test_a_textbook_coil_has_its_rate_stress_and_solid_length(check: Callable[..., None]) -> None:
    """A music-wire spring: wire 0.037 in, coil 0.400 in, 10.5 working and 12.5 total turns, G 11.85 Mpsi."""
    wire, coil = 0.037 * INCH, 0.400 * INCH
    psi = POUND / INCH**2
    rate = helix.rate(wire, coil, 10.5, 11.85e6 * psi) / (POUND / INCH)
    check(formula="coil rate", source=SHIGLEY, expected=4.13, got=rate, tolerance=0.002, unit="lbf/in")
    # the book takes Bergstraesser's factor 1.126; Wahl's differs by under 1 % (the book says so itself)
    stress = helix.shear_stress(6.46 * POUND, wire, coil) / psi / 1e3
    check(formula="coil stress", source=SHIGLEY, expected=146.0, got=stress, tolerance=0.012, unit="kpsi")
    # squared ends, not ground: the book's solid length is (12.5 + 1) d; ground ends save one wire
    solid = 2.06 - helix.solid_deflection(2.06 * INCH, wire, 13.5) / INCH
    check(formula="solid length", source=SHIGLEY, expected=0.500, got=solid, tolerance=0.002, unit="in")


def test_the_textbook_car_swings_as_printed(check: Callable[..., None]) -> None:
    """3220 lb, 4.5 and 5.5 ft, 2400 and 2600 lb/ft, radius of gyration 4 ft: 6.90 and 9.06 rad/s."""
    body = PitchBody(100.0, 1600.0, 4.5, 5.5, 2400.0, 2600.0)  # slugs, feet and pounds: a consistent set
    slow, quick = modes(body)
    for mode, pace, centre in ((slow, 6.90, 14.6), (quick, 9.06, 1.09)):
        check(
            formula="heave and pitch frequency", source=THOMSON, expected=pace,
            got=2.0 * np.pi * mode.frequency, tolerance=0.002, unit="rad/s",
        )  # fmt: skip
        check(
            formula="where the body stands still", source=THOMSON, expected=centre, got=abs(mode.centre),
            tolerance=0.01, unit="ft",
        )  # fmt: skip
    mass = np.diag([100.0, 1600.0])
    stiffness = np.array(
        [[5000.0, 2400 * 4.5 - 2600 * 5.5], [2400 * 4.5 - 2600 * 5.5, 2400 * 4.5**2 + 2600 * 5.5**2]]
    )
    general = np.sqrt(np.sort(np.linalg.eigvals(np.linalg.solve(mass, stiffness)).real)) / (2 * np.pi)
    np.testing.assert_allclose([slow.frequency, quick.frequency], general, rtol=1e-9)


def test_at_a_dynamic_index_of_one_each_end_swings_alone(check: Callable[..., None]) -> None:
    """Then the frequencies are those of both ends, and each end's mode stands still over the other axle."""
    mass, front, rear = 90.0, 0.72, 0.52
    base = front + rear
    inertia = mass * front * rear
    assert dynamic_index(mass, inertia, front, rear) == 1.0
    body = PitchBody(mass, inertia, front, rear, 12e3, 9e3, 500.0, 700.0)
    found = sorted(modes(body), key=lambda mode: mode.centre)
    ends = ((12e3, 500.0, mass * rear / base, -rear), (9e3, 700.0, mass * front / base, front))
    for mode, (rate, damping, carried, centre) in zip(found, ends, strict=True):
        source = "closed form of one mass on one spring"
        alone = np.sqrt(rate / carried) / (2 * np.pi)
        check(
            formula="decoupled frequency", source=source, expected=alone, got=mode.frequency, tolerance=1e-9
        )
        ratio = damping / (2 * np.sqrt(rate * carried))
        check(
            formula="decoupled damping ratio", source=source, expected=ratio, got=mode.damping, tolerance=1e-9
        )
        check(formula="decoupled centre", source=source, expected=centre, got=mode.centre, tolerance=1e-9)


def test_stiff_tyres_change_nothing() -> None:
    """With tyres a million times stiffer the body's modes are those without."""
    body = PitchBody(90.0, 17.0, 0.72, 0.52, 12e3, 9e3, 300.0, 400.0)
    plain, through = modes(body), modes(body, Tyres(3.6, 3.9, 1e10, 1e10))
    for one, other in zip(plain, through, strict=True):
        assert one.frequency == pytest.approx(other.frequency, rel=1e-5)
        assert one.damping == pytest.approx(other.damping, rel=1e-5)


def linear(front_rate: float = 9e3, rear_rate: float = 9e3, damping: float = 600.0, arm: float = 0.62,
           mass: float = 90.0, inertia: float = 20.0, tyre: float = 1e6) -> PitchParameters:  # fmt: skip
    """A body on two linear ends with a metre of travel, at rest in the middle of it."""
    points = np.linspace(0.0, 1.0, 11)
    load = 0.5 * mass * 9.80665
    rates = np.array([[front_rate], [rear_rate]])
    zeros, ones = np.zeros((2, 11)), np.ones((2, 11))
    return PitchParameters(
        mass=mass, inertia=inertia, arm=np.array([arm, -arm]), unsprung=np.array([1e-3, 1e-3]) + 0.5,
        tyre_stiffness=tyre, tyre_loss=0.0, full=np.ones(2), step=np.full(2, 0.1),
        spring=load + rates * (points - 0.5), stiffening=zeros, relaxation=0.0, lever=ones, friction=zeros,
        friction_rate=1.0, top_out=np.zeros(2), stop=np.zeros(2),
        damper=damping * np.array([[-8.0, 8.0], [-8.0, 8.0]]), lowest_speed=-8.0, speed_step=16.0, level=0.0,
        righting=0.0, righting_damping=0.0, righting_limit=0.0,
    )  # fmt: skip


def at_rest(p: PitchParameters) -> np.ndarray:
    """The settled state on flat ground at zero height."""
    wheels = -(0.5 * p.mass + p.unsprung) * 9.80665 / p.tyre_stiffness
    return np.array([wheels[0] - 0.5, 0.0, *wheels, *([0.0] * 6)])


def ridden(p: PitchParameters, wavelength: float, speed: float, size: float = 1e-3) -> np.ndarray:
    """Ride a sine of the ground; return the recorded series."""
    step, base = 2e-4, p.arm[0] - p.arm[1]
    time = 0.5 * step * np.arange(2 * 25000 + 1)
    wave = 2 * np.pi / wavelength
    fade = np.clip(speed * time / (4 * wavelength), 0.0, 1.0)
    road = np.zeros((time.size, 7))
    for end, behind in ((0, 0.0), (1, base)):
        road[:, end] = size * fade * np.sin(wave * (speed * time - behind))
        road[:, 2 + end] = np.gradient(road[:, end], time)
    road[:, 4] = 9.80665
    series = np.empty((25001, 8))
    run(p, at_rest(p), np.zeros(2), road, step, series)
    return series


@pytest.mark.parametrize("waves", [0.5, 1.0, 1.5, 2.0, 0.8])
def test_the_wheelbase_lets_through_what_its_length_says(waves: float, check: Callable[..., None]) -> None:
    """Heave and pitch of a symmetric body over a sine: cos and sin of pi times the waves in a wheelbase."""
    p = linear()
    base = float(p.arm[0] - p.arm[1])
    pace = 2 * np.pi * 1.5
    speed = pace / (2 * np.pi) * base / waves
    series = ridden(p, base / waves, speed)[-10000:]
    # what a lone end makes of the ground at this pace, for heave and for pitch (closed form, stiff tyre)
    heave_of = _passed(pace, 2 * 9e3, 2 * 600.0, p.mass)
    pitch_of = _passed(pace, 2 * 9e3 * 0.62**2, 2 * 600.0 * 0.62**2, p.inertia)
    got_heave = np.ptp(series[:, 0]) / 2 / 1e-3 / heave_of
    got_pitch = np.ptp(series[:, 1]) * 0.62 / 2 / 1e-3 / pitch_of
    heave, pitch = wheelbase_filter(base, base / waves)
    source = "Gillespie, Fundamentals of Vehicle Dynamics, ch. 5, wheelbase filtering (from memory)"
    for name, expected, got in (("heave", heave, got_heave), ("pitch", pitch, got_pitch)):
        check(
            formula=f"wheelbase filter, {name}, {waves:g} waves in a wheelbase", source=source,
            expected=float(expected), got=float(got), tolerance=0.015, relative=False,
        )  # fmt: skip


def _passed(pace: float, rate: float, damping: float, inertia: float) -> float:
    """Transmissibility of one mass on spring and damper (any vibration textbook)."""
    top = rate + 1j * pace * damping
    return float(abs(top / (top - inertia * pace**2)))


def test_the_kernel_agrees_with_an_implicit_solver(check: Callable[..., None]) -> None:
    """A body let go out of balance: SciPy's Radau gives the same heave and pitch."""
    p = linear(12e3, 7e3, 350.0, tyre=1e5)
    start = at_rest(p)
    start[0] += 0.01
    start[1] = 0.005
    step, count = 2e-4, 5000
    road = np.zeros((2 * count + 1, 7))
    road[:, 4] = 9.80665
    series = np.empty((count + 1, 8))
    run(p, start, np.zeros(2), road, step, series)

    def equations(_time: float, y: np.ndarray) -> list[float]:
        forces, wheels = [], []
        for end, rate in enumerate((12e3, 7e3)):
            travel = y[2 + end] - y[0] - p.arm[end] * y[1]
            speed = y[6 + end] - y[4] - p.arm[end] * y[5]
            forces.append(0.5 * p.mass * 9.80665 + rate * (travel - 0.5) + 350.0 * speed)
            wheels.append((-1e5 * y[2 + end] - forces[-1]) / p.unsprung[end] - 9.80665)
        heave = sum(forces) / p.mass - 9.80665
        pitch = (p.arm[0] * forces[0] + p.arm[1] * forces[1]) / p.inertia
        return [*y[4:], heave, pitch, *wheels]

    when = np.arange(count + 1) * step
    solved = solve_ivp(
        equations, (0, when[-1]), start[:8], method="Radau", t_eval=when, rtol=1e-9, atol=1e-11
    )
    for column, name in ((0, "heave"), (1, "pitch")):
        apart = float(np.abs(series[:, column] - solved.y[column]).max() / np.ptp(solved.y[column]))
        check(
            formula=f"pitch kernel, {name} let go", source="SciPy solve_ivp, Radau", expected=0.0, got=apart,
            tolerance=1e-5, relative=False,
        )  # fmt: skip


@pytest.mark.parametrize("shock", ["linnet-65", "pipit-65"])
def test_shaft_and_wheel_do_the_same_work(shock: str, check: Callable[..., None]) -> None:
    """Energy at the wheel over its travel is that at the shaft over its stroke (SciPy's integrals)."""
    unit, bike = fw.load(fw.demo_file(shock)), fw.load(fw.demo_file("bike"))
    curve = wheel_curve(unit, bike, points=2001)
    shaft = curve.spring.force + curve.gas_push
    at_wheel = CubicSpline(curve.wheel_travel, curve.force).integrate(0.0, curve.wheel_travel[-1])
    at_shaft = CubicSpline(curve.stroke, shaft).integrate(0.0, curve.stroke[-1])
    check(
        formula=f"work of {unit.name} at the wheel", source="virtual work; SciPy's integral at the shaft",
        expected=float(at_shaft), got=float(at_wheel), tolerance=2e-6, unit="J",
    )  # fmt: skip


@pytest.mark.parametrize("shock", ["linnet-65", "pipit-65"])
def test_the_wheel_rate_is_the_slope_of_the_wheel_force(shock: str, check: Callable[..., None]) -> None:
    """NumPy's gradient of the force over the wheel's travel gives the rate, away from the bumper's edge."""
    unit, bike = fw.load(fw.demo_file(shock)), fw.load(fw.demo_file("bike"))
    curve = wheel_curve(unit, bike, points=4001)
    slope = np.gradient(curve.force, curve.wheel_travel)
    inner = slice(50, 3000)
    apart = float(np.max(np.abs(slope[inner] / curve.rate[inner] - 1.0)))
    check(
        formula=f"wheel rate of {unit.name}", source="derivative of the force, NumPy gradient", expected=0.0,
        got=apart, tolerance=2e-3, relative=False,
    )  # fmt: skip


def test_a_straight_linkage_is_a_lever(check: Callable[..., None]) -> None:
    """A coil of rate k behind a constant ratio r is a rate k / r squared at the wheel; under a load W it sags
    W r / k, the wheel r times as far."""
    ratio, rate = 2.5, 70e3
    link = Linkage(np.array([0.0, 0.08, 0.16]), np.array([0.0, 0.032, 0.064]))
    at = np.linspace(0.0, 0.16, 9)
    stroke = link.stroke_at(at)
    got = link.wheel_rate(at, rate * stroke, np.full(9, rate))
    source = "lever (statics)"
    check(formula="rate through a lever", source=source, expected=rate / ratio**2, got=got[4], tolerance=1e-9)
    np.testing.assert_allclose(got, rate / ratio**2, rtol=1e-9)
    load = 500.0
    rests = float(link.wheel_at(load * ratio / rate))
    sags = {"shock": float(link.stroke_at(rests)), "wheel": rests}
    for name, expected in (("shock", load * ratio / rate), ("wheel", load * ratio**2 / rate)):
        check(
            formula=f"sag of the {name} through a lever", source=source, expected=expected, got=sags[name],
            tolerance=1e-9, unit="m",
        )  # fmt: skip
    assert float(link.wheel_force(rests, rate * sags["shock"])) == pytest.approx(load, rel=1e-9)
