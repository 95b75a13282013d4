"""The dynamometer against what must hold: an independent solver, loop areas, energy, heat and cavitation."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import forkwright as fw
from forkwright.bench.damper_model import model_of
from forkwright.bench.damper_oil import oil_state
from forkwright.bench.damping import damping_curve
from forkwright.bench.dyno import sine_test, step_test
from forkwright.bench.dyno_tables import FAST_GAS
from forkwright.hardware import Unit, read_text
from forkwright.physics.oil_air import effective_bulk_modulus, mixture_volume
from forkwright.units import InputError

HARD_OIL = {"bulk_modulus": '"5 GPa"', "free_air": '"0"'}


def bench_unit(
    ports: str = "",
    *,
    leak: bool = False,
    friction: str = "0 N",
    gas: str = "0 bar",
    oil: dict[str, str] | None = None,
    reservoir_friction: str = "",
    extra: str = "",
) -> Unit:
    """A coil unit whose damper has one plain path per valve: a hole, or a laminar gap."""
    path = (
        'leak = { diameter = "20 mm", gap = "0.2 mm", length = "15 mm" }'
        if leak
        else f"bleed = {{ {ports} }}"
    )
    made = "\n".join(f"{key} = {value}" for key, value in (oil or HARD_OIL).items())
    unit = read_text(
        f"""
format = 1
kind = "shock"
name = "bench piece"
travel = "100 mm"
[coil_spring]
rate = "40 N/mm"
[damper]
tube = "24 mm"
shaft = "10 mm"
seal_friction = "{friction}"
compression_volume = "60 ml"
shaft_volume = "6 ml"
reservoir_oil = "10 ml"
[damper.oil]
viscosity_40 = "15 cSt"
viscosity_index = 120
density = "850 kg/m3"
{made}
[damper.reservoir]
kind = "gas"
pressure = "{gas}"
volume = "1000 ml"
{reservoir_friction}
[damper.base_valve]
bleed = {{ diameter = "12 mm", count = 20 }}
[damper.rebound_valve]
{path}
[damper.mid_valve]
{extra}
"""
    )
    assert isinstance(unit, Unit)
    return unit


ANNULUS = math.pi / 4 * (24e-3**2 - 10e-3**2)
"""Of the bench piece, on the shaft's side of the piston (m2)."""

HOLE = 'diameter = "2 mm", count = 2, length = "0 mm", discharge = "0.7"'


def test_viscous_loop_area(check):
    """A laminar gap alone: the loop's area is pi c w X^2 with c from the gap's own sizes and the oil."""
    unit = bench_unit(leak=True, gas="10 bar")
    amplitude, frequency = 0.02, 1.0
    peak = 2 * math.pi * frequency * amplitude
    oil = oil_state(unit.damper.oil, 293.15)[0]
    damping = 12 * oil.viscosity * 15e-3 / (math.pi * 20e-3 * 0.2e-3**3) * ANNULUS**2
    steady = damping_curve(unit, None, 293.15, [-peak, peak]).force
    assert (steady[1] - steady[0]) / (2 * peak) == pytest.approx(damping, rel=1e-5)
    run = sine_test(unit, amplitude=amplitude, frequency=frequency, duration=2.0)
    check(
        formula="viscous loop area", source="derived: pi c w X^2, c of plane flow in a narrow gap", unit="J",
        expected=math.pi * damping * 2 * math.pi * frequency * amplitude**2, got=run.cycle_energy[-1],
        tolerance=3e-3,
    )  # fmt: skip


def test_square_law_loop_area(check):
    """A hole alone: the loop's area is (8/3) C w^2 X^3 with C from the hole's own size and the oil."""
    unit = bench_unit(HOLE, gas="60 bar")
    amplitude, frequency = 0.02, 8.0
    omega = 2 * math.pi * frequency
    peak = omega * amplitude
    density = oil_state(unit.damper.oil, 293.15)[0].density
    constant = 0.5 * density / (0.7 * 2 * math.pi * 1e-3**2) ** 2 * ANNULUS**3
    steady = damping_curve(unit, None, 293.15, [-peak, peak]).force
    assert (steady[1] - steady[0]) / (2 * peak**2) == pytest.approx(constant, rel=1e-2)
    run = sine_test(unit, amplitude=amplitude, frequency=frequency, duration=0.5)
    check(
        formula="square-law loop area", source="derived: (8/3) C w^2 X^3, C of an orifice", unit="J",
        expected=8 / 3 * constant * omega**2 * amplitude**3, got=run.cycle_energy[-1], tolerance=1e-2,
    )  # fmt: skip


def test_coulomb_loop_area(check):
    """Seal friction alone (a very wide hole): the loop's area is 4 F X."""
    unit = bench_unit('diameter = "14 mm", count = 50', friction="25 N", gas="10 bar")
    run = sine_test(unit, amplitude=0.02, frequency=0.5, duration=4.0)
    check(
        formula="Coulomb loop area", source="derived identity 4 F X", expected=4 * 25 * 0.02,
        got=run.cycle_energy[-1], tolerance=2e-3, unit="J",
    )  # fmt: skip


def test_slow_run_equals_the_steady_curve():
    """With hard oil, force on a slow sine lies on the steady curve at the reservoir's own place."""
    unit = bench_unit(HOLE, gas="10 bar")
    run = sine_test(unit, amplitude=0.02, frequency=0.5, duration=4.0)
    pick = slice(-run.steps_per_cycle, None, 97)
    fast_gas = (run.reservoir[pick] - 101325.0) * math.pi / 4 * 0.01**2
    steady = damping_curve(unit, None, 293.15, run.speed[pick])
    gas_free = steady.force - steady.by_path["gas"]
    assert run.force[pick] - fast_gas == pytest.approx(gas_free, abs=0.01 * np.ptp(gas_free))


def test_the_margin_of_a_slow_run_is_that_of_the_steady_curve():
    """Where speed is greatest the margin is the steady curve's, the gas of both under the same pressure."""
    unit = bench_unit(HOLE, gas="10 bar")
    run = sine_test(unit, amplitude=0.02, frequency=0.5, duration=4.0)
    fastest = run.speed.size - 3 * run.steps_per_cycle // 4
    steady = damping_curve(unit, None, 293.15, [run.speed[fastest]])
    squeezed = run.reservoir[fastest] - steady.reservoir[0]
    assert run.speed[fastest] > 0.06
    assert run.cavitation_margin[fastest] == pytest.approx(steady.cavitation_margin[0] + squeezed, rel=2e-3)


@pytest.mark.parametrize(("gas", "parts"), [("0 bar", True), ("40 bar", False)])
def test_the_margin_is_gone_exactly_where_oil_is_missing(gas: str, *, parts: bool):
    """Below zero somewhere when a void is told, and never otherwise."""
    run = sine_test(bench_unit(HOLE, gas=gas), amplitude=0.03, frequency=6.0, duration=0.5)
    assert (run.void > 0.0) == parts == bool(run.cavitation_margin.min() < 0.0)


def test_the_machine_puts_in_what_the_oil_takes_out():
    """Over whole cycles at steady state, work of the machine equals heat: nothing else keeps energy."""
    unit = fw.load(fw.demo_file("dunlin-160"))
    run = sine_test(unit, amplitude=0.04, frequency=4.0, duration=2.0)
    heat = _heat_taken(unit, run)
    assert heat == pytest.approx(run.cycle_energy[1:].sum(), rel=0.01)


def _heat_taken(unit, run) -> float:
    """Heat that must have gone in for the temperature to move as it did, cooling undone."""
    from forkwright.bench.dyno_run import Surroundings, _Heat
    from forkwright.bench.dyno_tables import geometry_of

    geometry, _ = geometry_of(unit.damper, unit.travel.si)
    lump = _Heat(unit.damper, geometry, Surroundings(293.15, 293.15, 101325.0))
    first = run.steps_per_cycle - 1
    warm, time = run.oil_temperature, run.time
    gained = lump.capacity * (warm[-1] - warm[first])
    lost = lump.cooling * np.trapezoid(warm[first:] - 293.15, time[first:])
    return float(gained + lost)


def test_run_agrees_with_an_independent_stiff_solver():
    """SciPy's Radau on the chambers' own pressure equations: within 1 % of the range, voids included."""
    unit = bench_unit(HOLE, gas="5 bar", oil={"bulk_modulus": '"1.2 GPa"', "free_air": '"0.02"'})
    amplitude, frequency = 0.03, 6.0
    run = sine_test(unit, amplitude=amplitude, frequency=frequency, duration=2 / frequency)
    every = slice(run.steps_per_cycle // 50 - 1, None, run.steps_per_cycle // 50)
    found = _radau(unit, amplitude, frequency, run.time[every])
    for ours, theirs in ((run.compression_chamber, found[0]), (run.shaft_chamber, found[1])):
        assert ours[every] == pytest.approx(theirs, abs=0.01 * np.ptp(found))


def _radau(unit, amplitude: float, frequency: float, times):
    """Chamber pressures at `times` from ``dp/dt = K_e (flow in - dV/dt) / V``, apart from the kernel."""
    damper = unit.damper
    model = model_of(damper, unit.setting, 293.15).circuit
    tube, shaft = model.tube_area, model.shaft_area
    omega, middle = 2 * math.pi * frequency, 0.5 * unit.travel.si
    air, stiff = damper.oil.free_air.si, damper.oil.bulk_modulus.si
    charge, gas_volume = 101325.0 + damper.reservoir.pressure.si, damper.reservoir.volume.si
    holes, wide = model.piston_rebound.bleeds[0], model.base_compression.bleeds[0]

    def flow(way, drop):
        return math.copysign(
            (math.sqrt(way.linear**2 + 4 * way.square * abs(drop)) - way.linear) / (2 * way.square), drop
        )

    def rates(t, y):
        x, v = middle - amplitude * math.cos(omega * t), amplitude * omega * math.sin(omega * t)
        p_c, p_r, displaced = y[0] * 1e5, y[1] * 1e5, y[2] * 1e-6
        p_s = charge * (gas_volume / (gas_volume - displaced)) ** FAST_GAS
        base, piston = flow(wide, p_c - p_s), flow(holes, p_c - p_r)
        k_c, k_r = (float(effective_bulk_modulus(p, stiff, air, FAST_GAS)) for p in (p_c, p_r))
        vol_c, vol_r = (float(mixture_volume(p, stiff, air, FAST_GAS)) for p in (p_c, p_r))
        rise_c = k_c * (tube * v - vol_c * (base + piston)) / (60e-6 - tube * x)
        rise_r = k_r * (-(tube - shaft) * v + vol_r * piston) / (6e-6 + (tube - shaft) * x)
        return [rise_c * 1e-5, rise_r * 1e-5, base * 1e6]

    start = shaft * (middle - amplitude)
    at_rest = charge * (gas_volume / (gas_volume - start)) ** FAST_GAS * 1e-5
    y0 = [at_rest, at_rest, start * 1e6]
    answer = solve_ivp(rates, (0.0, times[-1]), y0, method="Radau", t_eval=times, rtol=1e-4, atol=1e-4)
    return answer.y[0] * 1e5, answer.y[1] * 1e5


def test_entrained_air_widens_the_loop():
    """More free air, more hysteresis: the oil gives way before it flows."""
    widths = [
        sine_test(
            bench_unit(HOLE, gas="3 bar", oil=HARD_OIL | {"free_air": f'"{air}"'}),
            amplitude=0.02,
            frequency=8.0,
            duration=0.5,
        ).widest
        for air in (0.0, 0.02, 0.08)
    ]  # fmt: skip
    assert widths[0] < widths[1] < widths[2]


def test_a_starved_damper_leaves_a_void_and_says_so():
    """No charge and a narrow piston: the shaft side cannot fill and stays near the parting pressure.

    Below it the oil gives way softly: the pressure falls by some hundredths of a bar while the void grows.
    """
    unit = bench_unit('diameter = "1 mm", count = 2', oil={"parting_pressure": '"-0.9 bar"'})
    run = sine_test(unit, amplitude=0.03, frequency=6.0, duration=1.0)
    assert run.void > 1e-7
    assert any("cavitates" in warning for warning in run.warnings)
    parting = 101325.0 - 0.9e5
    assert parting - 4e3 < run.shaft_chamber.min() < parting
    assert run.cavitation_margin.min() == pytest.approx(run.shaft_chamber.min() - parting)
    assert run.compression_chamber.min() > 1e5
    assert damping_curve(unit, None, 293.15, [1.0]).cavitation_margin[0] < 0.0


def test_reservoir_piston_friction_shows_as_force():
    """The piston holds the shaft's gas force back by its friction in each direction."""
    plain = sine_test(bench_unit(HOLE, gas="8 bar"), amplitude=0.02, frequency=0.5, duration=4.0)
    stuck = 'bore = "24 mm"\nstroke = "150 mm"\nfriction = "90 N"'
    rubbing = sine_test(
        bench_unit(HOLE, gas="8 bar", reservoir_friction=stuck), amplitude=0.02, frequency=0.5, duration=4.0
    )
    more = 2 * 90.0 / (math.pi / 4 * 0.024**2) * math.pi / 4 * 0.01**2
    middle = slice(-plain.steps_per_cycle, None)
    widened = np.ptp(rubbing.force[middle]) - np.ptp(plain.force[middle])
    assert widened == pytest.approx(more, rel=0.05)


def test_lagging_check_starves_the_chamber():
    """A check that follows late starves the chamber just after the shaft turns round."""
    text = Path(fw.demo_file("plover-160")).read_text("utf-8")
    runs = []
    for lag in ("0 ms", "10 ms"):
        unit = read_text(
            text.replace('lag = "2 ms"', f'lag = "{lag}"').replace('lag = "1.5 ms"', 'lag = "0 ms"')
        )
        runs.append(sine_test(unit, amplitude=0.02, frequency=8.0, duration=0.5))
    turned = slice(-runs[0].steps_per_cycle // 2, -2 * runs[0].steps_per_cycle // 5)
    at_once, late = (run.compression_chamber[turned].min() for run in runs)
    assert late < at_once - 1e4


def test_oil_warms_to_its_balance_and_fades():
    """A long hard run: temperature settles towards power over cooling, force falls with viscosity."""
    heat = '[damper.heat]\nmetal_capacity = "5 J/K"\ncooling = "12 W/K"'
    unit = bench_unit(leak=True, gas="10 bar", extra=heat)
    run = sine_test(unit, amplitude=0.03, frequency=3.0, duration=90.0)
    power = run.cycle_energy[-1] * 3.0
    assert run.oil_temperature[-1] - 293.15 == pytest.approx(power / 12.0, rel=0.03)
    assert np.all(np.diff(run.cycle_energy[2:]) <= 1e-9 * run.cycle_energy[2])
    assert run.fade > 0.05


def test_step_test_settles_back_to_the_gas_force():
    """At rest the force falls to the gas force; while moving it comes to the steady curve."""
    unit = bench_unit(HOLE, gas="10 bar")
    run = step_test(unit, speed=0.5, stroke=0.05, hold=0.2, cycles=1)
    moving = np.flatnonzero(run.speed > 0)
    resting = np.flatnonzero(run.speed == 0)
    area = math.pi / 4 * 0.01**2
    at_rest = resting[resting > moving[-1]]
    settled = at_rest[np.searchsorted(run.time[at_rest], run.time[moving[-1]] + 0.19)]
    assert run.force[settled] == pytest.approx((run.reservoir[settled] - 101325.0) * area, abs=0.5)
    steady = damping_curve(unit, None, 293.15, [0.5])
    late = moving[-1]
    gas = (run.reservoir[late] - 101325.0) * area
    assert run.force[late] - gas == pytest.approx(steady.force[0] - steady.by_path["gas"][0], rel=0.01)


@pytest.mark.parametrize(("stroke", "speed"), [(0.01, 10.0), (0.05, 3.0), (0.05, 0.7)])
def test_a_step_test_rests_as_long_as_asked(stroke: float, speed: float):
    """However fast the stroke and so however short the time step, the rest lasts its time."""
    run = step_test(bench_unit(HOLE, gas="10 bar"), speed=speed, stroke=stroke, hold=0.1, cycles=1)
    step = run.time[1] - run.time[0]
    assert np.count_nonzero(run.speed == 0.0) * step == pytest.approx(2 * 0.1, abs=2 * step)
    assert np.count_nonzero(run.speed > 0.0) * step == pytest.approx(stroke / speed, rel=1e-9)


def test_a_run_of_more_steps_than_memory_is_refused():
    """Rests of a minute in a thousand cycles are answered in words before anything is laid out."""
    with pytest.raises(InputError, match="too long"):
        step_test(bench_unit(HOLE, gas="10 bar"), hold=60.0, cycles=1000)
    with pytest.raises(InputError, match="too long"):
        sine_test(bench_unit(HOLE, gas="10 bar"), amplitude=0.01, frequency=50.0, duration=3600.0)


def test_a_progress_call_can_cancel():
    """What the progress call raises ends the run."""

    class StopError(Exception):
        pass

    def stop(share: float) -> None:
        if share > 0.3:
            raise StopError

    with pytest.raises(StopError):
        sine_test(fw.load(fw.demo_file("dunlin-160")), duration=5.0, progress=stop)
