"""Laws of the leverage, of coils and of the pitch plane that hold whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import forkwright as fw
from forkwright.bench.coil import coil_reading
from forkwright.bench.gas_push import gas_push
from forkwright.bench.rear_linkage import linkage_of
from forkwright.bench.rear_sag import wheel_sag
from forkwright.bench.rear_spring import wheel_curve
from forkwright.bench.spring import spring_curve
from forkwright.hardware import replaced
from forkwright.physics import Unphysical, helix
from forkwright.physics.leverage import MONOTONE, SMOOTH, SMOOTHED, STRAIGHT, Linkage
from forkwright.physics.pitch import PitchBody, modes, wheelbase_filter
from forkwright.ride.course import Course
from forkwright.ride.course_file import find_course
from forkwright.ride.pitch import simulate_pitch
from forkwright.ride.pitch_layout import layout_of
from forkwright.ride.pitch_options import PitchOptions
from forkwright.ride.pitch_rest import static_loads
from forkwright.ride.simulate import simulate
from forkwright.tune.balance import balance
from forkwright.tune.balance_advice import Aims, advise
from forkwright.tune.nearest_coil import COIL_STEP, nearest_coil, with_rate

steps = st.lists(st.floats(0.5e-3, 30e-3), min_size=2, max_size=25)


@given(steps, st.data())
def test_a_linkage_through_rising_points_rises_everywhere(rises: list[float], data: st.DataObject) -> None:
    """Whatever rising points are given, the curve passes through them, rises, and can be undone."""
    drawn = data.draw(st.lists(st.floats(0.2e-3, 20e-3), min_size=len(rises), max_size=len(rises)))
    wheel, stroke = np.concatenate(([0.0], np.cumsum(rises))), np.concatenate(([0.0], np.cumsum(drawn)))
    link = Linkage(wheel, stroke)
    assert link.method in (SMOOTH, MONOTONE, STRAIGHT)
    np.testing.assert_allclose(link.stroke_at(wheel), stroke, atol=1e-12)
    fine = np.linspace(0.0, link.full_wheel, 997)
    assert np.all(np.diff(link.stroke_at(fine)) > -1e-15)
    assert np.all(link.motion_ratio(fine) > 0.0)
    back = link.wheel_at(link.stroke_at(fine))
    assert np.max(np.abs(back - fine)) <= link.full_wheel / 8000.0  # within one cell of its fine grid


@pytest.mark.parametrize(("length", "kept"), [(0.02, 0.5), (0.04, 1 / (1 + 16)), (0.01, 16 / 17)])
def test_smoothing_halves_a_wave_of_its_length(length: float, kept: float) -> None:
    """A wave in the readings is kept by 1 / (1 + (smoothing / wave)^4): half at its own length."""
    wheel = np.linspace(0.0, 0.4, 401)
    wave = 2e-5 * np.sin(2 * np.pi * wheel / 0.02)
    link = Linkage(wheel, 0.4 * wheel + wave, smoothing=length)
    assert link.method == SMOOTHED
    middle = slice(100, 301)
    left = link.stroke_at(wheel) - 0.4 * wheel
    got = 2 * np.mean(left[middle][:-1] * np.sin(2 * np.pi * wheel / 0.02)[middle][:-1]) / 2e-5
    assert got == pytest.approx(kept, rel=0.02)


def test_without_noise_the_ratio_converges_to_the_linkage() -> None:
    """Halving the distance of exact points divides the error of the leverage ratio by about eight."""

    def error(count: int) -> float:
        wheel = np.linspace(0.0, 0.16, count)
        link = Linkage(wheel, 0.35 * wheel + 0.4 * wheel**2 + 0.002 * np.sin(20 * wheel))
        fine = np.linspace(0.0, 0.16, 501)
        exact = 0.35 + 0.8 * fine + 0.04 * np.cos(20 * fine)
        return float(np.max(np.abs(link.motion_ratio(fine) - exact)))

    assert error(9) / error(17) > 6.0


@pytest.mark.parametrize(
    ("wheel", "stroke", "smoothing", "words"),
    [
        ([0.0, 0.1], [0.0, 0.05], 0.0, "three points"),
        ([0.0, 0.1, 0.05], [0.0, 0.03, 0.05], 0.0, "rise"),
        ([0.0, 0.05, 0.1], [0.0, 0.03, 0.03], 0.0, "rise"),
        ([0.01, 0.05, 0.1], [0.0, 0.03, 0.05], 0.0, "starts at zero"),
        ([0.0, 0.05, np.nan], [0.0, 0.03, 0.05], 0.0, "finite"),
        ([0.0, 0.05, 0.1], [0.0, 0.03, 0.05], 0.02, "at least 5"),
    ],
)
def test_points_no_linkage_gives_are_refused(
    wheel: list[float], stroke: list[float], smoothing: float, words: str
) -> None:
    """What is no linkage is refused with the reason."""
    with pytest.raises(Unphysical, match=words):
        Linkage(np.array(wheel), np.array(stroke), smoothing)


@given(st.floats(50.0, 900.0), st.floats(1.01, 1.5))
def test_a_heavier_rider_sags_deeper(load: float, more: float) -> None:
    """Sag at the wheel never falls as the load grows, and its band holds its middle."""
    unit, bike = fw.load(fw.demo_file("pipit-65")), fw.load(fw.demo_file("bike"))
    light, heavy = wheel_sag(unit, bike, load), wheel_sag(unit, bike, load * more)
    assert light.low <= light.middle <= light.high
    if 0.0 < heavy.middle < wheel_curve(unit, bike, points=2).wheel_travel[-1] - 1e-3:
        assert heavy.middle > light.middle
    else:  # both may stand at the same end
        assert heavy.middle >= light.middle - 1e-6


def test_the_gas_carries_part_of_the_load() -> None:
    """Without its damper a shock sags deeper, by what the gas pushed."""
    unit, bike = fw.load(fw.demo_file("linnet-65")), fw.load(fw.demo_file("bike"))
    bare = unit.model_copy(update={"damper": None, "setting": unit.setting.model_copy(
        update={"low_speed": None, "high_speed": None, "rebound": None})})  # fmt: skip
    assert wheel_sag(bare, bike, 509.0).middle > wheel_sag(unit, bike, 509.0).middle + 0.005
    assert np.all(gas_push(bare)(np.linspace(0, 0.065, 5)) == 0.0)
    push = gas_push(unit)(np.linspace(0, 0.065, 5))
    assert push[0] == pytest.approx(11.0e5 * np.pi / 4 * 0.0127**2, rel=1e-3)
    assert np.all(np.diff(push) > 0.0)
    assert wheel_curve(bare, bike).gas_push.max() == 0.0


@given(st.floats(5e-3, 12e-3), st.floats(35e-3, 60e-3), st.floats(4.0, 9.0))
def test_a_coil_scales_as_its_wire_says(wire: float, coil: float, turns: float) -> None:
    """Twice everything in length is twice the rate; twice the turns is half of it; stress goes with force."""
    rate = helix.rate(wire, coil, turns, 79.5e9)
    assert helix.rate(2 * wire, 2 * coil, turns, 79.5e9) == pytest.approx(2 * rate)
    assert helix.rate(wire, coil, 2 * turns, 79.5e9) == pytest.approx(0.5 * rate)
    assert helix.shear_stress(2e3, wire, coil) == pytest.approx(2 * helix.shear_stress(1e3, wire, coil))


def test_the_coil_warns_of_bind_rate_and_stress() -> None:
    """Too short, too thin and wrongly measured coils are each named; the demonstration coil is not."""
    unit = fw.load(fw.demo_file("pipit-65"))
    found = coil_reading(unit)
    assert found is not None
    assert found.warnings == ()
    assert found.rate_from_wire == pytest.approx(70e3, rel=0.01)
    for change, words in (
        ({"coil_spring.free_length": 0.140}, "goes solid"),
        ({"coil_spring.free_length": 0.153}, "EN 13906-1 asks"),
        ({"coil_spring.allowed_stress": 0.9e9}, "over the 900 MPa"),
        ({"coil_spring.active_turns": 7.0}, "stiffer than the rate given"),
    ):
        notes = coil_reading(replaced(unit, change))
        assert notes is not None
        assert any(words in note for note in notes.warnings), (words, notes.warnings)
    assert coil_reading(fw.load(fw.demo_file("linnet-65"))) is None


@given(st.integers(8, 24), st.integers(0, 10))
def test_the_nearest_coil_to_a_coil_is_that_coil(steps: int, halves: int) -> None:
    """A coil of a sold rate with whole half millimetres of preload is found again, and nothing remains."""
    unit = fw.load(fw.demo_file("pipit-65"))
    rate, preload = steps * COIL_STEP, halves * 0.0005
    target = spring_curve(with_rate(unit, rate), unit.setting.changed(preload=preload))
    found = nearest_coil(target, unit, unit.setting)
    assert found is not None
    assert (found.rate, found.preload) == (pytest.approx(rate), pytest.approx(preload))
    assert found.exact_rate == pytest.approx(rate, rel=1e-6)
    assert found.rms < 1e-6


@given(st.floats(0.3, 3.0))
def test_wheelbase_filter_keeps_the_sum_of_squares(length: float) -> None:
    """Heave and pitch share the wave: their squares add up to one."""
    heave, pitch = wheelbase_filter(1.2, length)
    assert heave**2 + pitch**2 == pytest.approx(1.0)


@given(st.floats(4e3, 2e4), st.floats(4e3, 2e4), st.floats(0.4, 0.9), st.floats(8.0, 40.0))
def test_modes_keep_trace_and_determinant(front: float, rear: float, to_front: float, inertia: float) -> None:
    """The squares of both paces add up to the trace and multiply to the determinant of the system."""
    mass, to_rear = 90.0, 1.24 - to_front
    found = modes(PitchBody(mass, inertia, to_front, to_rear, front, rear))
    squares = [(2 * np.pi * mode.frequency) ** 2 for mode in found]
    trace = (front + rear) / mass + (front * to_front**2 + rear * to_rear**2) / inertia
    assert sum(squares) == pytest.approx(trace, rel=1e-9)
    assert squares[0] * squares[1] == pytest.approx(front * rear * 1.24**2 / (mass * inertia), rel=1e-9)


def flat(gradient: float = 0.0, speed: tuple[float, float] = (6.0, 6.0), length: float = 60.0) -> Course:
    """A smooth course."""
    distance = np.linspace(0.0, length, 2001)
    pace = np.interp(distance, [0.0, 0.4 * length, 0.6 * length, length], [speed[0], *speed, speed[1]])
    still = np.zeros(2001)
    return Course("flat", distance, still, pace, still + 1.0, still + gradient)


@pytest.fixture(scope="module")
def bench() -> dict[str, object]:
    """Demonstration fork, shock, rider and bike."""
    return {name: fw.load(fw.demo_file(name)) for name in ("dunlin-160", "linnet-65", "rider", "bike")}


def ride(bench: dict[str, object], course: Course, **options: float) -> object:
    """Ride the demonstration bike."""
    return simulate_pitch(
        bench["dunlin-160"], bench["linnet-65"], course, rider=bench["rider"], bike=bench["bike"],
        options=PitchOptions(**options),
    )  # fmt: skip


def test_on_flat_ground_nothing_moves(bench: dict[str, object]) -> None:
    """Settled and undisturbed, both ends stay where they rest, and the tyres carry the whole weight."""
    found = ride(bench, flat())
    for values in (found.front_travel, found.rear_travel):
        assert np.ptp(values) < 1e-6
    weight = found.layout.whole_mass * 9.80665
    assert found.front_tyre[-1] + found.rear_tyre[-1] == pytest.approx(weight, rel=1e-6)
    assert found.front_tyre[-1] / weight == pytest.approx(0.42, abs=0.01)


@pytest.mark.parametrize("gradient", [0.15, -0.15])
def test_a_slope_moves_weight_by_its_height_over_the_wheelbase(
    bench: dict[str, object], gradient: float
) -> None:
    """Uphill the front tyre loses m g sin(slope) h / L to the rear, downhill it gains that."""
    found = ride(bench, flat(gradient))
    layout, slope = found.layout, np.arctan(gradient)
    moved = layout.whole_mass * 9.80665 * np.sin(slope) * layout.centre_height / layout.wheelbase
    front, _ = static_loads(layout)
    expected = (front + layout.unsprung_front * 9.80665) * np.cos(slope) - moved
    assert found.front_tyre[-1] == pytest.approx(expected, rel=1e-3)


def test_braking_dives_and_the_front_brake_dives_more(bench: dict[str, object]) -> None:
    """Slowing down presses the fork and lifts the rear; a brake at the front presses the fork further."""
    slowing = flat(speed=(9.0, 6.0))
    rear_only, front_only = (ride(bench, slowing, front_brake=share) for share in (0.0, 1.0))
    for found in (rear_only, front_only):
        assert found.front.greatest > found.front.static + 0.01
        assert found.rear_travel.min() < found.rear.static - 0.01
    assert front_only.front.greatest > rear_only.front.greatest + 0.005


def test_a_rider_further_forward_loads_the_front(bench: dict[str, object]) -> None:
    """A shift ahead deepens the front's rest and lifts the rear's by the moved weight."""
    usual, ahead = ride(bench, flat()), ride(bench, flat(), rider_shift=0.1)
    moved = 82.0 * 9.80665 * 0.1 / usual.layout.wheelbase
    assert ahead.front_tyre[0] - usual.front_tyre[0] == pytest.approx(moved, rel=1e-3)
    assert ahead.front.static > usual.front.static
    assert ahead.rear.static < usual.rear.static


def test_the_front_of_both_ends_rides_like_the_fork_alone(bench: dict[str, object]) -> None:
    """Over a rough traverse the fork's mean travel and tyre load agree with the ride of one wheel alone."""
    course = find_course("heather-traverse")
    both = ride(bench, course)
    alone = simulate(bench["dunlin-160"], course, rider=bench["rider"], bike=bench["bike"]).scores
    assert float(both.front_travel.mean()) == pytest.approx(alone.riding_sag_m, rel=0.05)
    assert both.front.tyre_load_variation == pytest.approx(alone.tyre_load_variation, rel=0.1)


def test_layout_stands_on_the_front_share(bench: dict[str, object]) -> None:
    """The static loads are the shares of the file."""
    layout = layout_of(bench["rider"], bench["bike"])
    front, rear = static_loads(layout)
    assert front / (front + rear) == pytest.approx(0.42)


def test_advice_reaches_its_own_aims_and_stays_within_the_limits(bench: dict[str, object]) -> None:
    """After the advised change the sag lead is the aim to a pump step, and a second look changes little."""
    fork, shock, rider, bike = (bench[name] for name in ("dunlin-160", "linnet-65", "rider", "bike"))
    found = balance(fork, shock, rider, bike)
    advice = advise(found, rider, bike, aims=Aims(0.05))
    assert advice.after.sag_lead == pytest.approx(0.05, abs=0.003)
    assert advice.setting.pressure.si <= shock.air_spring.pressure_limit.si
    before = abs(found.pair.rear.rebound_ratio - found.pair.front.rebound_ratio)
    assert abs(advice.after.rear.rebound_ratio - advice.after.front.rebound_ratio) <= before
    again = balance(fork, shock, rider, bike, shock_setting=advice.setting)
    second = advise(again, rider, bike, aims=Aims(0.05))
    assert not [one for one in second.changes if one.adjuster == "pressure"]


@pytest.mark.parametrize("shock", ["linnet-65", "pipit-65"])
def test_sag_at_the_wheel_balances_the_load(shock: str) -> None:
    """At the middle of the band the wheel's force is its load; a heavier load rests deeper."""
    unit, bike = fw.load(fw.demo_file(shock)), fw.load(fw.demo_file("bike"))
    curve = wheel_curve(unit, bike, points=2001)
    light, heavy = (wheel_sag(unit, bike, load).middle for load in (500.0, 600.0))
    forces = np.interp([light, heavy], curve.wheel_travel, curve.force)
    assert forces == pytest.approx([500.0, 600.0], rel=1e-3)
    assert light < heavy
    assert linkage_of(bike).method == SMOOTH
