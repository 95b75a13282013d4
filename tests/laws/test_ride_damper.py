"""The damper in a ride: oil chambers against the steady map, and what becomes of its energy."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from forkwright.bench import Conditions
from forkwright.hardware import load, load_unit, replaced
from forkwright.physics.oil_air import effective_bulk_modulus
from forkwright.ride.course_file import read_course
from forkwright.ride.damping import damping_values
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.ride.parameters import defaults
from forkwright.ride.simulate import simulate
from forkwright.ride.unit_forces import oil_modulus
from forkwright.units import InputError

COURSE = """format = 1
kind = "course"
name = "short"
length = "24 m"

[[speed]]
at = "0 m"
speed = "6 m/s"

[[roughness]]
from = "1 m"
to = "24 m"
class = "D"
longest_wave = "4 m"
"""


@pytest.mark.parametrize("fork", ["dunlin-160", "plover-160"])
def test_oil_chambers_ride_as_the_steady_map_does(demo_dir: Path, fork: str) -> None:
    """With stiff oil two chambers give the force of the steady bench, so scores come close."""
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in (fork, "rider", "bike"))
    course = read_course(COURSE)
    steady, chambers = (
        simulate(unit, course, rider=rider, bike=bike, options=RideOptions(oil_chambers=oil))
        for oil in (False, True)
    )
    assert chambers.audit.imbalance < 5e-4
    for name in ("riding_sag_m", "greatest_travel_m", "damper_heat_J", "hand_acceleration_m_s2"):
        ours, theirs = (ride.scores.numbers()[name] for ride in (chambers, steady))
        assert ours == pytest.approx(theirs, rel=0.10), name


def test_the_push_of_a_table_at_rest_is_a_spring_not_a_loss(demo_dir: Path) -> None:
    """A force at zero speed lifts the bike and takes no energy."""
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in ("dunlin-160", "rider", "bike"))
    course = read_course(COURSE)
    speed = np.array([-5.0, 0.0, 5.0])
    rides = [
        simulate(
            unit, course, rider=rider, bike=bike,
            options=RideOptions(damping=DampingTable(speed, 900.0 * speed + push)),
        )
        for push in (0.0, 40.0)
    ]  # fmt: skip
    assert rides[1].scores.static_sag_m < rides[0].scores.static_sag_m - 3e-3
    assert rides[1].audit.damper == pytest.approx(rides[0].audit.damper, rel=0.05)


def test_a_table_that_is_no_damping_is_refused() -> None:
    """Speeds that do not grow, or one side only, are named as what they are."""
    with pytest.raises(InputError, match="growing"):
        DampingTable(np.array([1.0, 0.0]), np.array([0.0, 1.0]))
    with pytest.raises(InputError, match="both sides"):
        DampingTable(np.array([0.0, 1.0]), np.array([0.0, 1.0]))


@pytest.mark.parametrize("free_air", ["0.005", "0.03", "0.1"])
@pytest.mark.parametrize("pressure", [2e5, 1e6, 5e6])
def test_the_rides_oil_gives_way_as_the_benchs_does(demo_dir: Path, free_air: str, pressure: float) -> None:
    """A share of the mixture's volume in the file is the same air in the ride's chambers as on the bench."""
    unit = load_unit(demo_dir / "dunlin-160.toml")
    unit = replaced(unit, {"damper.oil.free_air": float(free_air)})
    values, _ = damping_values(unit, unit.setting, Conditions(), RideOptions(oil_chambers=True))
    p = defaults(28.0, 3.0, 9.0e4, 0.16)._replace(**values)
    assert unit.damper is not None
    bench = effective_bulk_modulus(pressure, unit.damper.oil.bulk_modulus.si, float(free_air), 1.0)
    assert oil_modulus(p, pressure) == pytest.approx(float(bench), rel=0.005)
