"""What the damper commands read from their options."""

from __future__ import annotations

from forkwright.hardware import Setting, Unit, check_setting
from forkwright.units import InputError, parse


def clicked(unit: Unit, **clicks: int | None) -> Setting:
    """Return the unit's setting with some clicks replaced.

    Raises
    ------
    InputError
        If a click is below zero, beyond the adjuster, or the adjuster does not exist.
    """
    given = {name: number for name, number in clicks.items() if number is not None}
    ranges = unit.damper.click_ranges() if unit.damper is not None else {}
    for name, number in given.items():
        option = f"--{name.replace('_', '-')}"
        if unit.damper is None or name not in ranges:
            raise InputError("the unit has no such adjuster", key=option, value=str(number))
        if not 0 <= number <= ranges[name]:
            reason = "a needle cannot go below closed" if number < 0 else "more clicks than the adjuster has"
            raise InputError(reason, key=option, value=str(number), allowed=f"0 to {ranges[name]}")
    setting = unit.setting.changed(**given)
    check_setting(unit, setting)
    return setting


def read_quantity(text: str, dimension: str, option: str) -> float:
    """Read one quantity of an option into SI; the error names the option."""
    try:
        return parse(text, dimension).si
    except InputError as fault:
        raise InputError(fault.message, key=option, value=text, allowed=fault.allowed) from None


def read_speeds(text: str, option: str = "--speeds") -> list[float]:
    """Read speeds separated by commas into m/s; a bare number is m/s."""
    return [_speed(part.strip(), option) for part in text.split(",")]


def _speed(text: str, option: str) -> float:
    try:
        bare = float(text)
    except ValueError:
        return read_quantity(text, "speed", option)
    if not abs(bare) < 1e6:
        raise InputError("not a usable speed", key=option, value=text)
    return bare


def in_range(option: str, value: int, low: int, high: int) -> None:
    """Refuse a whole number outside its range; the error names the option."""
    if not low <= value <= high:
        raise InputError("out of range", key=option, value=str(value), allowed=f"{low} to {high}")
