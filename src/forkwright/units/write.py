"""A measure as the text a unit file holds, with as many digits as it deserves and no fewer."""

from __future__ import annotations

import math

from forkwright.units.dimensions import DIMENSIONS
from forkwright.units.measure import Measure
from forkwright.units.registry import scale

# The unit a unit file uses when forkwright writes a number that no text came with.
_FILE_UNITS = {"stress": "GPa", "temperature": "°C", "force": "N"}
_DIGITS = 12


def write(measure: Measure, dimension: str) -> str:
    """Return text that `parse` reads back to the same SI value and tolerance (to 12 digits).

    Examples
    --------
    >>> write(Measure(0.032, 0.00002), "length")
    '32 ± 0.02 mm'
    """
    unit = _FILE_UNITS.get(dimension, DIMENSIONS[dimension].symbols[0])
    factor_offset = scale(unit, dimension)
    assert factor_offset is not None, f"no file unit for {dimension}"
    factor, offset = factor_offset
    text = _digits((measure.si - offset) / factor)
    if measure.std:
        text += f" ± {_digits(measure.std / abs(factor))}"
    return f"{text} {unit}".rstrip()


def as_written(measure: Measure, dimension: str) -> str:
    """Return the text a measure was read from, or fresh text where it has none.

    Examples
    --------
    >>> as_written(Measure(0.032, text="32.0 mm"), "length"), as_written(Measure(0.032), "length")
    ('32.0 mm', '32 mm')
    """
    return measure.text or write(measure, dimension)


def _digits(number: float) -> str:
    if not math.isfinite(number):
        raise ValueError("only finite numbers are written to a file")
    text = f"{number:.{_DIGITS}g}"
    return text[1:] if text == "-0" else text
