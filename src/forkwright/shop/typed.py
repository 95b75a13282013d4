"""Numbers as people type them: read with their unit, held against their range; a refusal names the entry."""

from __future__ import annotations

import math

from forkwright.units import InputError, Measure, parse

HIGHEST_RIDING_HOURS = 100_000.0  # h


def typed_measure(text: str, dimension: str, key: str) -> Measure:
    """Return a typed quantity with its tolerance, in SI; InputError naming `key` when it cannot be read."""
    try:
        return parse(text, dimension)
    except InputError as error:
        raise InputError(error.message, key=key, value=text, allowed=error.allowed) from error


def check_typed(text: str, dimension: str, key: str) -> None:
    """Refuse a typed quantity that cannot be read; an empty text is none."""
    if text:
        typed_measure(text, dimension, key)


def check_range(
    value: float | None, key: str, highest: float, unit: str = "", *, zero_too: bool = False
) -> None:
    """Refuse a number (None is none) that is not above 0, or with `zero_too` not at least 0, up to `highest`.

    Examples
    --------
    >>> check_range(0.0, "riding_hours", 100.0, "h", zero_too=True)
    """
    if value is None or (math.isfinite(value) and 0.0 <= value <= highest and (zero_too or value > 0.0)):
        return
    span = f"0 to {highest:g}" if zero_too else f"above 0, up to {highest:g}"
    raise InputError("out of range", key=key, value=f"{value:g}", allowed=f"{span} {unit}".rstrip())


def check_riding_hours(hours: float | None) -> None:
    """Refuse hours since the last service (h) that nobody has ridden."""
    check_range(hours, "riding_hours", HIGHEST_RIDING_HOURS, "h", zero_too=True)
