"""Fitting a unit to bench traces and writing the values back into its file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from forkwright.bench import spring_curve
from forkwright.bench.damping import damping_curve
from forkwright.evidence.fit_choice import swapped
from forkwright.evidence.importing import import_recording
from forkwright.evidence.recording import Recording
from forkwright.evidence.signals import motion_of
from forkwright.evidence.trace_reading import spring_trace, trace_of
from forkwright.evidence.traces import DampingTrace, PressureTrace, SpringTrace
from forkwright.evidence.unit_fit import fit_unit
from forkwright.evidence.write_back import fitted_unit, write_fitted
from forkwright.hardware import Unit, load_unit, measures, replaced
from forkwright.units import InputError

VOLUMES = ["air_spring.positive_volume", "air_spring.negative_volume", "air_spring.seal_friction"]


@pytest.fixture
def unit(demo_dir: Path) -> Unit:
    return load_unit(demo_dir / "dunlin-160.toml")


def slow_pull(unit: Unit, noise: float = 3.0, seed: int = 1, samples: int = 400) -> SpringTrace:
    """A pull both ways by the bench itself, with invented noise."""
    phase = np.linspace(0, 2 * np.pi, samples)
    phase = phase[np.abs(np.sin(phase)) > 0.1]
    travel = 0.077 * (1 - np.cos(phase))
    trace = SpringTrace("pull.csv", travel, np.zeros_like(travel), np.sign(np.sin(phase)))
    scatter = np.random.default_rng(seed).normal(0, noise, travel.size) if noise else 0.0
    return SpringTrace("pull.csv", travel, trace.predict(unit) + scatter, trace.direction)


def test_the_values_a_trace_was_made_with_come_back(unit: Unit) -> None:
    truth = {
        "air_spring.positive_volume": 214.1e-6, "air_spring.negative_volume": 44.2e-6,
        "air_spring.seal_friction": 16.0,
    }  # fmt: skip
    result = fit_unit(unit, [slow_pull(replaced(unit, truth), noise=0.5)], VOLUMES)
    for path, value in truth.items():
        i = VOLUMES.index(path)
        assert abs(result.fit.values[i] - value) < 4 * result.fit.std[i]
        assert result.fit.learned[i] > 0.9
    assert result.fit.noise == pytest.approx(0.5, rel=0.15)


def test_a_pressure_that_was_stated_for_the_traces_is_not_fitted(unit: Unit) -> None:
    """It moves nothing there; where one trace is left at the unit's own setting it can be found."""
    own = slow_pull(unit)
    stated = replace(own, setting=unit.setting.changed(pressure="88 psi"))
    with pytest.raises(InputError, match=r"setting\.pressure: the traces' setting is stated"):
        fit_unit(unit, [stated], ["setting.pressure"])
    found = fit_unit(unit, [own, stated], ["setting.pressure"])
    assert found.fit.values[0] == pytest.approx(unit.setting.pressure.si, rel=0.01)  # type: ignore[union-attr]


def test_without_a_choice_every_toleranced_measure_that_matters_is_fitted(unit: Unit) -> None:
    result = fit_unit(unit, [slow_pull(unit)])
    names = {p.name for p in result.fit.parameters}
    assert {"air_spring.bore", "air_spring.seal_friction", "lower_legs.air_volume"} <= names
    assert {n for n in names if n.startswith("damper.")} == {
        "damper.shaft", "damper.seal_friction", "damper.reservoir.bore", "damper.reservoir.rate",
        "damper.reservoir.preload",
    }  # fmt: skip
    assert "chassis.axle_to_crown" not in names
    assert "air_spring.bore" not in result.fitted()
    assert any("air_spring.bore" in s for s in result.advice.sentences)


def test_a_pull_carries_the_push_of_the_damper_s_gas_and_the_hold_of_its_seal(demo_dir: Path) -> None:
    """What the gas behind the oil puts on the shaft, here by hand, is not taken for the air spring's."""
    shock = load_unit(demo_dir / "linnet-65.toml")
    phase = np.linspace(0, 2 * np.pi, 300)
    stroke, sign = 0.03 * (1 - np.cos(phase)), np.sign(np.sin(phase))
    area, charge, volume = np.pi / 4 * 0.0127**2, 11.0e5 + 101325.0, 25e-6
    push = (charge * volume / (volume - area * stroke) - 101325.0) * area
    curve = spring_curve(shock, travel=stroke)
    force = curve.force + push + sign * (curve.friction + 15.0)
    names = ["air_spring.positive_volume", "air_spring.seal_friction"]
    result = fit_unit(shock, [SpringTrace("pull.csv", stroke, force, sign)], names)
    assert result.fit.values == pytest.approx([118e-6, 35.0], rel=1e-3)


def test_a_pull_cannot_tell_two_seals_apart_and_says_how_to(unit: Unit) -> None:
    """The damper's seal and the air spring's hold together: only pulling the damper alone parts them."""
    seals = {"air_spring.seal_friction", "damper.seal_friction"}
    advice = fit_unit(unit, [slow_pull(unit)], sorted(seals)).advice
    assert [set(pair[:2]) for pair in advice.alike] == [seals]
    assert any(way in advice.sentences[0] for way in ("the damper taken out", "the damper by itself"))


def test_a_load_cell_that_was_not_zeroed_is_found_instead_of_bending_the_spring(unit: Unit) -> None:
    trace = slow_pull(unit, noise=1.0)
    shifted = SpringTrace(trace.name, trace.travel, trace.measured + 15.0, trace.direction)
    result = fit_unit(unit, [shifted], VOLUMES, force_zero=20.0)
    assert result.zeros()["force_zero"] == pytest.approx(15.0, abs=1.5)
    assert "force_zero" not in result.fitted()


def test_several_traces_of_different_kinds_are_fitted_together_each_with_its_own_noise(unit: Unit) -> None:
    true = replaced(unit, {"air_spring.positive_volume": 214e-6})
    travel = np.linspace(0, 0.15, 60)
    rng = np.random.default_rng(2)
    pressure = spring_curve(true, travel=travel).positive - 101325.0 + rng.normal(0, 2000, 60)
    result = fit_unit(unit, [slow_pull(true, 2.0), PressureTrace("gauge.csv", travel, pressure)], VOLUMES)
    assert result.noises[0] == pytest.approx(2.0, rel=0.2)
    assert result.noises[1] == pytest.approx(2000, rel=0.3)
    assert result.fit["air_spring.positive_volume"] == pytest.approx(214e-6, abs=0.5e-6)
    assert [p.size for p in result.predicted()] == [t.measured.size for t in result.traces]


def test_a_damper_is_fitted_to_force_against_speed(unit: Unit) -> None:
    if unit.damper is None:
        pytest.skip("the demo fork has no damper yet")
    true = replaced(unit, {"damper.seal_friction": 12.0})
    speed = np.concatenate([-np.geomspace(1.5, 0.05, 8), np.geomspace(0.05, 1.5, 8)])
    trace = DampingTrace("dyno.csv", speed, np.zeros(16))
    force = trace.predict(true) + np.random.default_rng(3).normal(0, 0.5, 16)
    result = fit_unit(unit, [DampingTrace("dyno.csv", speed, force)], ["damper.seal_friction"])
    assert result.fit["damper.seal_friction"] == pytest.approx(12.0, abs=1.0)


def test_fitted_values_go_into_the_file_with_origin_and_the_measured_value_kept(
    unit: Unit, demo_dir: Path, tmp_path: Path
) -> None:
    source = tmp_path / "fork.toml"
    text = (demo_dir / "dunlin-160.toml").read_text()
    source.write_text(text)
    true = replaced(unit, {"air_spring.positive_volume": 214e-6})
    result = fit_unit(unit, [slow_pull(true)], VOLUMES)
    write_fitted(result, source, tmp_path / "fitted.toml")
    assert source.read_text() == text
    again = load_unit(tmp_path / "fitted.toml")
    volume = measures(again)["air_spring.positive_volume"]
    assert volume.origin == "fitted"
    assert "measured: 212 ± 2 ml" in volume.note
    assert "pull.csv" in volume.note
    assert volume.si == pytest.approx(214e-6, abs=1e-6)
    assert "# full extension, no spacers" in (tmp_path / "fitted.toml").read_text()
    assert measures(again)["air_spring.bore"].origin == "measured"
    second = fitted_unit(fit_unit(again, [slow_pull(true, seed=5)], VOLUMES))
    assert "measured: 212 ± 2 ml" in measures(second)["air_spring.positive_volume"].note


def test_a_fast_copy_is_the_same_as_the_careful_one(unit: Unit) -> None:
    values = {path: m.si * 1.001 for path, m in measures(unit).items()}
    assert swapped(unit, values) == replaced(unit, values)


def test_a_pull_is_taken_out_of_a_recording_with_turns_left_out_and_limits_checked(unit: Unit) -> None:
    phase = np.linspace(0, 2 * np.pi, 9000)
    travel = 0.075 * (1 - np.cos(phase))

    def recorded(x: np.ndarray) -> Recording:
        return Recording(
            "pull.csv", np.arange(9000) * 0.01, {"travel": x, "force": 5000 * x}, {}, 100.0, True,
            ((0, 9000),), {}, frozenset(), (),
        )  # fmt: skip

    trace = spring_trace(recorded(travel), unit)
    assert set(np.unique(trace.direction)) == {-1.0, 1.0}
    assert trace.travel.size <= 4000
    with pytest.raises(InputError, match="goes past the unit's own"):
        spring_trace(recorded(travel * 1.4), unit)
    with pytest.raises(InputError, match="no such measure"):
        fit_unit(unit, [trace], ["air_spring.boar"])
    with pytest.raises(InputError, match="no trace"):
        fit_unit(unit, [])


@pytest.fixture
def dyno(demo_dir: Path, tmp_path: Path) -> Path:
    """A dynamometer trace without times: a fork whose first rebound shims are thinner than its file says."""
    unit = load_unit(demo_dir / "dunlin-160.toml")
    true = replaced(unit, {"damper.rebound_valve.shims.1.thickness": 0.09e-3})
    speed = np.linspace(-1.5, 1.5, 61)
    force = damping_curve(true, speeds=speed).force + np.random.default_rng(4).normal(0, 2.0, speed.size)
    path = tmp_path / "dyno.csv"
    rows = "".join(f"{v:.4f},{f:.2f}\n" for v, f in zip(speed, force, strict=True))
    path.write_text("speed (m/s),force (N)\n" + rows, encoding="utf-8")
    return path


def test_a_fitted_shim_keeps_what_was_measured(demo_dir: Path, dyno: Path, tmp_path: Path) -> None:
    """A shim written as text comes back as a table that says fitted; the measured thickness stays in it."""
    source = demo_dir / "dunlin-160.toml"
    unit, path = load_unit(source), "damper.rebound_valve.shims.1.thickness"
    recording = import_recording(dyno)
    assert not recording.timed
    result = fit_unit(unit, [trace_of(recording, unit)], [path])
    written = load_unit(write_fitted(result, source, tmp_path / "fitted.toml"))
    shim = measures(written)[path]
    assert shim.origin == "fitted"
    assert shim.si == pytest.approx(0.09e-3, abs=4e-6)
    assert shim.note.endswith("measured: 0.100 ± 0.002 mm")


def test_a_recording_without_times_is_no_ride(dyno: Path) -> None:
    """Readings in their order make a trace, not a log of a ride."""
    with pytest.raises(InputError, match="no time column"):
        motion_of(import_recording(dyno), "force")


def test_a_fit_is_stopped_by_the_one_it_tells(demo_dir: Path, dyno: Path) -> None:
    """What the progress call raises ends the search at once and comes out as it is; the share never falls."""

    class StopError(Exception):
        """The caller has had enough."""

    unit, told = load_unit(demo_dir / "dunlin-160.toml"), [0.0]

    def tell(share: float, words: str) -> None:
        assert told[-1] <= share < 1.0
        assert words == "fitting 1 values to 61 samples"
        told.append(share)
        if len(told) > 5:
            raise StopError

    trace = trace_of(import_recording(dyno), unit)
    with pytest.raises(StopError):
        fit_unit(unit, [trace], ["damper.rebound_valve.ports.diameter"], progress=tell)
    assert len(told) == 6
