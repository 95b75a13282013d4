"""The rider and the bike: what loads the unit, and what the pump on the bench can do."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.leverage import Leverage
from forkwright.units import Measure


class Rider(Part):
    """A rider, ready to ride (with kit, shoes and pack)."""

    format: Literal[1] = 1
    kind: Literal["rider"] = "rider"
    name: Annotated[str, Field(min_length=1, max_length=200)] = "rider"
    mass: Annotated[Measure, quantity("mass", "15 kg", "250 kg")]


class Bike(Part):
    """A bike with its geometry, masses and tyres.

    `front_share` is the share of the sprung weight that stands on the front wheel in the riding position.
    `pump_step` is the smallest step of pressure the shop's pump can set. `leverage` reaches the shock from
    the rear wheel. `centre_height` is that of rider and bike together above the ground, and `pitch_inertia`
    theirs about it; both serve the ride of both ends.
    """

    format: Literal[1] = 1
    kind: Literal["bike"] = "bike"
    name: Annotated[str, Field(min_length=1, max_length=200)] = "bike"
    mass: Annotated[Measure, quantity("mass", "3 kg", "60 kg")]
    head_angle: Annotated[Measure, quantity("angle", "45 deg", "90 deg")]
    front_share: Annotated[Measure, quantity("dimensionless", "0.05", "0.95")]
    unsprung_front: Annotated[Measure, quantity("mass", "0.5 kg", "15 kg")]
    unsprung_rear: Annotated[Measure, quantity("mass", "0.5 kg", "20 kg")] | None = None
    pump_step: Annotated[Measure, quantity("pressure", "0.01 psi", "20 psi")] | None = None
    wheelbase: Annotated[Measure, quantity("length", "500 mm", "2000 mm")] | None = None
    centre_height: Annotated[Measure, quantity("length", "300 mm", "1800 mm")] | None = None
    pitch_inertia: Annotated[Measure, quantity("inertia", "0.5 kg m2", "100 kg m2")] | None = None
    leverage: Leverage | None = None
