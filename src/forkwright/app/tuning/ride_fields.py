"""How a ride is simulated: the options of the command line's rides, as the pages type them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.question import Text, oil_temperature
from forkwright.units import InputError
from forkwright.units.typed_in import read_quantity

if TYPE_CHECKING:
    from forkwright.ride.options import RideOptions

_LEAST_TYRE, _MOST_TYRE = 2.0e4, 1.0e6  # Pa, gauge


LARGEST_DAMPING = 60_000
"""Characters of a damping table."""

DAMPING_DATA = {"largest_damping": LARGEST_DAMPING}
"""What a page has to know of it."""


class DampingFile(BaseModel):
    """A damper's measured curve: a CSV with columns speed_m_s and force_N, and its name for errors."""

    model_config = ConfigDict(extra="forbid")

    name: Annotated[str, Field(max_length=200)]
    csv: Annotated[str, Field(max_length=LARGEST_DAMPING)]


class RideFields(BaseModel):
    """Tyre, rider, damping, oil and heat; an empty text leaves its option out, as the command line does."""

    model_config = ConfigDict(extra="forbid")

    tyre_pressure: Text = "24 psi"
    tyre_stiffness: Text = ""
    limbs: bool = False
    isothermal: bool = False
    oil_chambers: bool = False
    stiffening: bool = False
    oil_temperature: Text = ""
    damping: DampingFile | None = None


def ride_options(asked: RideFields) -> RideOptions:
    """Return the options of a ride.

    Raises
    ------
    InputError
        Naming the field that cannot be read or is out of range.
    """
    from forkwright.ride.options import HeatPaths, Limbs, RideOptions, Tyre
    from forkwright.ride.tables import read_damping

    pressure = read_tyre_pressure(asked.tyre_pressure)
    stiffness = read_if_given(asked.tyre_stiffness, "stiffness", "tyre stiffness")
    return RideOptions(
        tyre=Tyre(pressure=pressure, stiffness_points=() if stiffness is None else ((pressure, stiffness),)),
        heat=HeatPaths(0.0, 0.0, 0.0, 0.0) if asked.isothermal else HeatPaths(),
        limbs=Limbs() if asked.limbs else None,
        damping=read_damping(asked.damping.csv, asked.damping.name) if asked.damping is not None else None,
        oil_chambers=asked.oil_chambers,
        stiffening=asked.stiffening,
        oil_temperature=oil_temperature(asked.oil_temperature) if asked.oil_temperature.strip() else None,
    )


def read_tyre_pressure(text: str) -> float:
    """Return a tyre's gauge pressure (Pa). Raises InputError for one that is none, or out of range."""
    pressure = read_quantity(text, "pressure", "tyre pressure")
    if not _LEAST_TYRE <= pressure <= _MOST_TYRE:
        raise InputError("out of range", key="tyre pressure", value=text, allowed="3 to 145 psi")
    return pressure


def read_if_given(text: str, dimension: str, key: str) -> float | None:
    """Return a typed quantity in SI, None for an empty field. Errors name the field."""
    return read_quantity(text, dimension, key) if text.strip() else None
