"""The compiled fixed-step kernel against SciPy's Radau on a plain twin of the equations."""

from __future__ import annotations

import dataclasses
import importlib.util
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from forkwright.bench import Conditions
from forkwright.hardware import load
from forkwright.ride.audit import audit_energy
from forkwright.ride.build import ride_parameters
from forkwright.ride.course import Road
from forkwright.ride.course_file import load_course
from forkwright.ride.kernel import run
from forkwright.ride.options import DampingTable, Limbs, RideOptions
from forkwright.ride.parameters import RideParameters
from forkwright.ride.rest import rest
from forkwright.ride.scores import score
from forkwright.ride.wheel_road import road_for

pytestmark = pytest.mark.outside

_spec = importlib.util.spec_from_file_location(
    "ride_twin", Path(__file__).parents[1] / "twins" / "ride_twin.py"
)
assert _spec is not None
assert _spec.loader is not None
ride_twin = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(ride_twin)

COMPARED = (
    "riding_sag_m",
    "greatest_travel_m",
    "contact_lost_s",
    "tyre_load_variation",
    "pack_down_m",
    "fastest_compression_m_s",
    "fastest_rebound_m_s",
)


def piece(demo_dir: Path, fork: str, options: RideOptions, start: float, seconds: float) -> tuple:
    """Return parameters and a piece of the rough descent, begun at rest."""
    unit, rider, bike = (load(demo_dir / f"{name}.toml") for name in (fork, "rider", "bike"))
    p, _ = ride_parameters(unit, unit.setting, rider, bike, Conditions(), options)
    road = road_for(load_course(demo_dir / "courses" / "peat-hag-descent.toml"), p, options)
    first, count = int(start / road.step), int(seconds / road.step)
    values = road.values[2 * first : 2 * (first + count) + 1].copy()
    return p, dataclasses.replace(road, values=values, distance=road.distance[first : first + count + 1])


def both_ways(p: RideParameters, road: Road) -> tuple[dict[str, float], dict[str, float], float]:
    """Return the scores of the kernel and of Radau, and the largest difference in travel (m)."""
    first = road.values[0]
    start = rest(p, first[0], first[2], first[3])
    series = np.empty((road.distance.size, 8))
    end, works, stuck = run(p, start, road.values, road.step, series)
    audit = audit_energy(p, start, end, works, (first[0], road.values[-1, 0]))
    states, _ = ride_twin.ride_with_solver(p, road.values, road.step, start, "Radau", 1e-5)
    twin = ride_twin.Twin(p, road.values, road.step)
    other = series.copy()
    other[:, 0], other[:, 1], other[:, 2] = states[:, 1], states[:, 3], states[:, 0]
    other[:, 4] = [twin.forces(n * road.step, states[n])[0] for n in range(states.shape[0])]
    scores = [
        score(p, found, road.values, road.step, audit, start[1], stuck).numbers() for found in (series, other)
    ]
    return scores[0], scores[1], float(np.abs(series[:, 0] - other[:, 0]).max())


@pytest.mark.parametrize(
    ("fork", "limbs"), [("dunlin-160", None), ("plover-160", None), ("dunlin-160", Limbs())]
)
def test_scores_agree_with_radau(
    demo_dir: Path, fork: str, limbs: Limbs | None, check: Callable[..., None]
) -> None:
    """At the chosen step every score of a rough, airborne second lies within 0.5 % of an implicit
    solver's."""
    options = RideOptions(damping=DampingTable.linear(600.0, 1400.0), limbs=limbs)
    p, road = piece(demo_dir, fork, options, 11.0, 2.0)
    ours, theirs, difference = both_ways(p, road)
    assert difference < 0.5e-3
    for name in COMPARED:
        check(
            formula=f"{name} of {fork}{' with limbs' if limbs else ''}",
            source="SciPy solve_ivp, Radau, rtol 1e-5, on a plain twin",
            expected=theirs[name],
            got=ours[name],
            tolerance=5e-3,
        )
