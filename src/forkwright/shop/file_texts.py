"""Where the book meets the hardware files: is a unit's text sound, and does a setting fit the unit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from forkwright.units import InputError

_SETTING_FIELDS = (
    "pressure",
    "spacers",
    "floating",
    "negative_pressure",
    "preload",
    "low_speed",
    "high_speed",
    "rebound",
)


def check_unit_text(file_text: str) -> None:
    """Refuse text that is not a sound fork or shock file.

    Raises
    ------
    InputError
        Naming line, key, value and allowed range.
    """
    name_and_kind(file_text)


def check_bike_text(file_text: str) -> None:
    """Refuse text that is not a sound bike file."""
    bike_name(file_text)


def bike_name(file_text: str, file: str = "bike file") -> str:
    """Return the name that a sound bike file states.

    Raises
    ------
    InputError
        It is not sound, or describes something else.
    """
    from forkwright.hardware import Bike, read_text

    bike = read_text(file_text, file)
    if not isinstance(bike, Bike):
        raise InputError("this file describes no bike", file=file, key="kind", allowed="bike")
    return bike.name


def name_and_kind(file_text: str, file: str = "unit file") -> tuple[str, str]:
    """Return the name and kind ("fork" or "shock") that a sound unit file states."""
    from forkwright.hardware import Unit, read_text

    unit = read_text(file_text, file)
    if not isinstance(unit, Unit):
        raise InputError(
            "this file describes no fork or shock", file=file, key="kind", allowed="fork or shock"
        )
    return unit.name, unit.kind


def check_setting_fits(file_text: str, fields: Mapping[str, Any]) -> None:
    """Refuse a setting that goes over the unit's own limits: pressure, spacer count, clicks.

    Parameters
    ----------
    file_text : str
        The unit's file.
    fields : mapping
        Field names of `forkwright.shop.records_job.SettingRecord`; empty text and None are left out.

    Raises
    ------
    InputError
        Naming the entry and what the unit allows.
    """
    from forkwright.hardware import Unit, check_setting, read_text

    unit = read_text(file_text, "unit file")
    assert isinstance(unit, Unit)
    given = {name: fields[name] for name in _SETTING_FIELDS if fields.get(name) not in (None, "")}
    check_setting(unit, unit.setting.changed(**given))
