"""The units a browser shows, as it sends them along with a question."""

from __future__ import annotations

from collections.abc import Mapping

from forkwright.units import InputError, UnitChoice


def chosen_units(units: Mapping[str, str]) -> UnitChoice:
    """Return the choice of units; `InputError` for a unit that does not measure what it is chosen for."""
    try:
        return UnitChoice(**units)
    except TypeError:
        raise InputError("unknown kind of quantity", key="units", value=", ".join(units)) from None
