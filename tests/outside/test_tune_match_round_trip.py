"""A match must give back what is known: scaled geometry in closed form, noise, clicks, SciPy's solver."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from forkwright.bench.spring import spring_curve
from forkwright.hardware import Unit, check_setting, drawn, measures, replaced
from forkwright.physics.constants import P0
from forkwright.tune.match import match
from forkwright.tune.match_neighbours import spring_rms
from forkwright.tune.nearest_spring import PUMP_STEP, nearest_spring
from forkwright.units import Measure

pytestmark = pytest.mark.outside
SCALE = 1.08


def scaled(unit: Unit, by: float) -> Unit:
    """The unit with every area and volume of its air spring larger; lengths along the leg are kept.

    Source (derived): with A, A_n and all chamber volumes multiplied by s, each gas is squeezed in the same
    ratio at the same travel, so the gas forces are those of absolute pressures s times as high.
    """
    air = unit.air_spring
    assert air is not None
    assert air.negative_volume is not None
    assert air.spacers is not None
    root = float(np.sqrt(by))
    return replaced(
        unit,
        {
            "air_spring.bore": air.bore.si * root,
            "air_spring.shaft": air.shaft.si * root,
            "air_spring.positive_volume": air.positive_volume.si * by,
            "air_spring.negative_volume": air.negative_volume.si * by,
            "air_spring.spacers.volume": air.spacers.volume.si * by,
        },
    )


@pytest.mark.parametrize(("pressure", "spacers"), [(92, 0), (85, 2), (78, 5)])
def test_scaled_geometry_gives_back_its_known_setting(
    dunlin: Unit, check, pressure: int, spacers: int
) -> None:  # type: ignore[no-untyped-def]
    """B is A with larger areas: the absolute pressure falls by the same factor and the spacers stay."""
    other = scaled(dunlin, SCALE)
    wanted = dunlin.setting.changed(pressure=pressure * PUMP_STEP, spacers=spacers)
    start = other.setting.changed(pressure=60 * PUMP_STEP, spacers=6 - spacers)
    found = match(dunlin, other, setting_a=wanted, setting_b=start, draws=0)
    assert found.setting.spacers == spacers
    assert found.setting.pressure is not None
    check(
        formula="matched gauge pressure of a spring with areas and volumes times 1.08",
        source="derived: absolute pressure over the same factor",
        expected=((pressure * PUMP_STEP + P0) / SCALE - P0) / PUMP_STEP,
        got=found.setting.pressure.si / PUMP_STEP,
        tolerance=1.0,
        unit="psi",
        relative=False,
    )
    assert found.spring is not None
    assert found.spring.rms < 5.0


def test_noisy_geometry_gives_back_its_known_setting_within_its_noise(dunlin: Unit) -> None:
    """B's parts measured with their stated errors: spacers within one, pressure within what they explain.

    The pressure may be off by what two of the drawn volumes and areas explain together (4 psi at most here).
    """
    wanted = dunlin.setting.changed(pressure=85 * PUMP_STEP, spacers=2)
    many = drawn(dunlin, 12, 5, only=lambda path: path.startswith("air_spring."))
    tables = {
        path: np.ravel(measure.si)
        for path, measure in measures(many).items()
        if isinstance(measure.si, np.ndarray)
    }
    off = []
    for place in range(12):
        other = replaced(dunlin, {path: float(values[place]) for path, values in tables.items()})
        found = match(other, dunlin, setting_a=wanted, draws=0).setting
        assert found.pressure is not None
        assert abs(found.spacers - 2) <= 1
        off.append(found.pressure.si / PUMP_STEP - 85)
    assert np.abs(off).max() <= 4.0
    assert abs(np.mean(off)) <= 1.5


def test_noisy_curve_gives_back_its_known_setting(dunlin: Unit) -> None:
    """A target curve with 5 N of noise at every point still gives the pressure to a psi, spacers exactly."""
    from dataclasses import replace

    truth = spring_curve(dunlin, dunlin.setting.changed(pressure=81 * PUMP_STEP, spacers=3))
    for seed in range(5):
        noise = np.random.default_rng(seed).normal(0.0, 5.0, truth.force.size)
        found = nearest_spring(replace(truth, force=truth.force + noise), dunlin, dunlin.setting)
        assert found is not None
        assert found.setting.pressure is not None
        assert found.setting.spacers == 3
        assert found.setting.pressure.si / PUMP_STEP == pytest.approx(81, abs=1.01)


@pytest.mark.parametrize("clicks", [(2, 7, 3), (12, 1, 10)])
def test_clicks_come_back(dunlin: Unit, clicks: tuple[int, int, int]) -> None:
    """The same damper with other clicks: the match finds exactly those, with nothing left over."""
    names = ("low_speed", "high_speed", "rebound")
    wanted = dunlin.setting.changed(**dict(zip(names, clicks, strict=True)))
    found = match(dunlin, dunlin, setting_a=wanted, draws=0)
    assert tuple(getattr(found.setting, name) for name in names) == clicks
    assert found.clicks is not None
    assert found.clicks.rms < 1e-6


def test_pressure_alone_agrees_with_scipys_solver(dunlin: Unit, check) -> None:  # type: ignore[no-untyped-def]
    """One pressure, fixed spacers: force is a straight line in pressure, so the problem is convex.

    SciPy's bounded minimiser must find the same optimum as the search over fine pump steps.
    """
    from scipy.optimize import minimize_scalar

    other = scaled(dunlin, 1.2)
    other = other.model_copy(
        update={"air_spring": other.air_spring.model_copy(update={"spacers": None})}  # type: ignore[union-attr]
    )
    start = other.setting.changed(spacers=0)
    target = spring_curve(dunlin)
    step = 0.01 * PUMP_STEP
    ours = nearest_spring(target, other, start, pump_step=step)
    assert ours is not None
    assert ours.setting.pressure is not None
    solved = minimize_scalar(
        lambda p: spring_rms(other, start.changed(pressure=float(p)), target, ours, None) ** 2,
        bounds=(30 * PUMP_STEP, 119 * PUMP_STEP),
        method="bounded",
        options={"xatol": 1.0},
    )
    check(
        formula="nearest pressure, one spring, no spacers",
        source="SciPy minimize_scalar (bounded)",
        expected=float(solved.x) / PUMP_STEP,
        got=ours.setting.pressure.si / PUMP_STEP,
        tolerance=0.01,
        unit="psi",
        relative=False,
    )
    check_setting(other, ours.setting)


@pytest.mark.parametrize(("pressure", "spacers"), [(85, 2), (70, 0)])
def test_a_negative_valve_takes_over_from_a_transfer_port(
    dunlin: Unit, check, pressure: int, spacers: int
) -> None:  # type: ignore[no-untyped-def]
    """B is A with a valve in place of the transfer port: main pressure and spacers stay.

    The negative chamber must be given what the port would have put there.
    """
    air = dunlin.air_spring
    assert air is not None
    assert air.transfer is not None
    assert air.negative_volume is not None
    assert air.spacers is not None
    with_valve = dunlin.model_copy(
        update={
            "name": "with a valve",
            "air_spring": air.model_copy(update={"negative": "valve", "transfer": None}),
        }
    )
    wanted = dunlin.setting.changed(pressure=pressure * PUMP_STEP, spacers=spacers)
    start = dunlin.setting.changed(pressure=60 * PUMP_STEP, spacers=4, negative_pressure=60 * PUMP_STEP)
    found = match(dunlin, with_valve, setting_a=wanted, setting_b=start, draws=0).setting
    assert found.spacers == spacers
    assert found.pressure is not None
    assert found.pressure.si == pytest.approx(pressure * PUMP_STEP)
    area = np.pi / 4 * air.bore.si**2
    ring = area - np.pi / 4 * air.shaft.si**2
    open_volume = air.positive_volume.si - spacers * air.spacers.volume.si
    at_port = (pressure * PUMP_STEP + P0) * open_volume / (open_volume - area * air.transfer.si)
    grown = (air.negative_volume.si + ring * air.transfer.si) / air.negative_volume.si
    assert found.negative_pressure is not None
    check(
        formula="negative pressure, own valve in place of a transfer port",
        source="derived: Boyle's law in both chambers from the transfer point",
        expected=(at_port * grown - P0) / PUMP_STEP,
        got=found.negative_pressure.si / PUMP_STEP,
        tolerance=0.51,
        unit="psi",
        relative=False,
    )


def test_negative_pressure_agrees_with_a_grid_of_all(dunlin: Unit) -> None:
    """Both pressures on a coarse pump: the closed form finds what trying every pair does."""
    air = dunlin.air_spring
    assert air is not None
    step = 10 * PUMP_STEP
    other = dunlin.model_copy(
        update={
            "air_spring": air.model_copy(
                update={"negative": "valve", "transfer": None, "positive_volume": Measure(2.2e-4)}
            )
        }
    )
    start = dunlin.setting.changed(negative_pressure=60 * PUMP_STEP)
    target = spring_curve(dunlin)
    found = nearest_spring(target, other, start, pump_step=step)
    assert found is not None
    counts, steps = range(7), range(1, 13)
    least = min(
        spring_rms(
            other,
            start.changed(pressure=main * step, negative_pressure=back * step, spacers=spacers),
            target,
            found,
            None,
        )
        for spacers, main, back in itertools.product(counts, steps, steps)
    )
    assert found.rms == pytest.approx(least, rel=1e-9)
