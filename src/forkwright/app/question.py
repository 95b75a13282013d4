"""What a browser sends along with a question beside the drafts: its units, and quantities as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from forkwright.bench.conditions import Conditions
from forkwright.units import InputError, Measure, UnitChoice, parse
from forkwright.units.typed_in import read_quantity

Text = Annotated[str, Field(max_length=40)]
_GAS = (173.15, 423.15)  # K, as the command line takes them


class Day(BaseModel):
    """How warm the gas is and how high one stands, now and when the chambers were filled."""

    model_config = ConfigDict(extra="forbid")

    temperature: Text = "20 °C"
    fill_temperature: Text = "20 °C"
    altitude: Text = "0 m"
    fill_altitude: Text = "0 m"


def conditions_of(day: Day) -> Conditions:
    """Return the day as the bench takes it; `InputError` names the field that is wrong."""
    names = ("temperature", "fill_temperature")
    kelvin = {name: read_quantity(getattr(day, name), "temperature", name) for name in names}
    for name, value in kelvin.items():
        if not _GAS[0] <= value <= _GAS[1]:
            raise InputError("out of range", key=name, value=getattr(day, name), allowed="-100 °C to 150 °C")
    high = {name: read_quantity(getattr(day, name), "length", name) for name in ("altitude", "fill_altitude")}
    return Conditions.at(**high, **kelvin)


def chosen_units(units: Mapping[str, str]) -> UnitChoice:
    """Return the choice of units; `InputError` for a unit that does not measure what it is chosen for."""
    try:
        return UnitChoice(**units)
    except TypeError:
        raise InputError("unknown kind of quantity", key="units", value=", ".join(units)) from None


def read_measure(text: str, dimension: str, key: str) -> Measure:
    """Return a typed quantity as it was typed; `InputError` names the field that is wrong."""
    try:
        return parse(text, dimension)
    except InputError as fault:
        raise InputError(fault.message, key=key, value=text, allowed=fault.allowed) from None


def oil_temperature(text: str) -> float:
    """Return an oil temperature in K from what was typed; `InputError` for none, or one out of range."""
    from forkwright.bench.damper_setup import check_oil_temperature

    kelvin = read_quantity(text, "temperature", "oil temperature")
    check_oil_temperature(kelvin)
    return kelvin


def ambient_pressure(altitude: str) -> float:
    """Return the pressure outside (Pa absolute) at an altitude that was typed."""
    return Conditions.at(read_quantity(altitude, "length", "altitude")).ambient_pressure
