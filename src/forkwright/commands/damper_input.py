"""Speeds, single quantities and counts that the damper commands read from text."""

from __future__ import annotations

from forkwright.units import InputError, parse


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
