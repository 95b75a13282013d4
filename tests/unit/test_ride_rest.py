"""Where a ride begins: at the rider's sag of the bench, however short the travel is."""

from __future__ import annotations

import pytest
import tomlkit

import forkwright as fw
from forkwright.bench import Conditions
from forkwright.bench.standing import standing_sag
from forkwright.hardware.files import read_text
from forkwright.physics import G0
from forkwright.ride.build import ride_parameters
from forkwright.ride.options import RideOptions
from forkwright.ride.rest import rest


def test_a_millimetre_of_travel_is_rested_in() -> None:
    """The search passes over strokes at which a chamber would have no volume and any force comes out."""
    with open(fw.demo_file("dunlin-160"), encoding="utf-8") as file:
        parts = tomlkit.parse(file.read())
    parts["travel"] = "1 mm"
    parts["air_spring"].update(  # type: ignore[union-attr]
        {"transfer": "0.05 mm", "positive_volume": "2 ml", "negative_volume": "0.3 ml"}
    )
    parts["bumpers"]["bottom_out"]["length"] = "0.3 mm"  # type: ignore[index]
    for table in ("air_spring", "setting"):
        del parts[table]["spacers"]  # type: ignore[union-attr]
    unit = read_text(tomlkit.dumps(parts), "short.toml")
    rider, bike = (fw.load(fw.demo_file(name)) for name in ("rider", "bike"))
    p, _ = ride_parameters(unit, unit.setting, rider, bike, Conditions(), RideOptions())
    travel = rest(p, 0.0, G0, 0.0)[1]
    assert travel == pytest.approx(standing_sag(unit, rider, bike).middle, abs=2e-5)
