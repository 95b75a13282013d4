"""What the Damper page asks, and how its texts are read."""

from __future__ import annotations

from typing import Annotated, Literal, TypedDict

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft
from forkwright.app.question import Text, ambient_pressure, oil_temperature
from forkwright.units.typed_in import read_quantity

Units = Annotated[dict[str, str], Field(max_length=20)]
Speed = Annotated[float, Field(ge=-10.0, le=10.0, allow_inf_nan=False)]

MOST_DRAWS = 1000


class DamperQuestion(BaseModel):
    """One fork's damper at its setting, with its oil's temperature and where it stands.

    `position` is the compression at which the reservoir stands; mid-travel without it.
    """

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    oil_temperature: Text = "20 °C"
    position: Text | None = None
    altitude: Text = "0 m"
    stiffening: bool = False


class SpeedQuestion(DamperQuestion):
    """The same at one shaft speed (m/s, positive in compression); `drawn` names the drawings the page has."""

    speed_m_s: Speed
    units: Units = {}
    drawn: Annotated[dict[str, Annotated[str, Field(max_length=64)]], Field(max_length=10)] = {}


class AtWheel(BaseModel):
    """The bike, and the share of the wheel's travel at which a shock is read in its linkage."""

    bike: Draft | None = None
    wheel_share: Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)] = 0.3


class CurveQuestion(SpeedQuestion, AtWheel):
    """Over all speeds, and at one of them where one is given; a shock's also at the wheel."""

    speed_m_s: Speed | None = None  # type: ignore[assignment]


class SpeedsQuestion(DamperQuestion, AtWheel):
    """At speeds separated by commas, as behind `--speeds`; a bare number is m/s."""

    speeds: Annotated[str, Field(max_length=1000)]


class DamperBandQuestion(DamperQuestion):
    """Whose tolerances are to be carried through, with how many draws."""

    draws: Annotated[int, Field(ge=20, le=MOST_DRAWS)] = 60


class MapQuestion(DamperQuestion):
    """Over all clicks of one adjuster."""

    adjuster: Annotated[str, Field(max_length=40)]


class DynoQuestion(BaseModel):
    """A test of one damper on the virtual dynamometer; what only the other test knows must not be given.

    A sine has `amplitude`, `frequency` and `duration`; a step test `stroke`, `speed`, `hold` and `cycles`.
    `centre` is the compression at mid-stroke; mid-travel without it.
    """

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    test: Literal["sine", "step"] = "sine"
    amplitude: Text = "25 mm"
    frequency: Text = "1.6 Hz"
    duration: Text = "10 s"
    stroke: Text = "50 mm"
    speed: Text = "1 m/s"
    hold: Text = "0.1 s"
    cycles: Annotated[int, Field(ge=-1_000_000, le=1_000_000)] = 2
    centre: Text | None = None
    oil_temperature: Text = "20 °C"
    air_temperature: Text = "20 °C"
    altitude: Text = "0 m"
    points: Annotated[int, Field(ge=20, le=1000)] = 250


class Place(TypedDict):
    """Where a damper stands, as the bench takes it: compression (m) and pressure outside (Pa absolute)."""

    position: float | None
    ambient_pressure: float


def oil_and_place(question: DamperQuestion) -> tuple[float, Place]:
    """Return the oil's temperature (K) and where the damper stands; `InputError` names the field."""
    given = question.position
    return oil_temperature(question.oil_temperature), {
        "position": read_quantity(given, "length", "position") if given is not None else None,
        "ambient_pressure": ambient_pressure(question.altitude),
    }
