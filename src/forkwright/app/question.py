"""What a browser sends along with a question beside the drafts: its units, and quantities as text."""

from __future__ import annotations

from collections.abc import Mapping

from forkwright.units import InputError, UnitChoice, parse


def chosen_units(units: Mapping[str, str]) -> UnitChoice:
    """Return the choice of units; `InputError` for a unit that does not measure what it is chosen for."""
    try:
        return UnitChoice(**units)
    except TypeError:
        raise InputError("unknown kind of quantity", key="units", value=", ".join(units)) from None


def oil_temperature(text: str) -> float:
    """Return an oil temperature in K from what was typed."""
    try:
        return parse(text, "temperature").si
    except InputError as fault:
        raise InputError(fault.message, key="oil temperature", value=text, allowed=fault.allowed) from None
