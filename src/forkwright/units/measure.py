"""A measured number: SI value, one-sigma tolerance, where it came from, and the text it was read from."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Literal

from forkwright.units.dimensions import DIMENSIONS
from forkwright.units.errors import InputError
from forkwright.units.registry import kinds_of, scale

Origin = Literal["measured", "assumed", "fitted"]

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_TEXT = re.compile(
    rf"^\s*(?P<value>{_NUMBER})(?:\((?P<short>\d{{1,4}})\))?"
    rf"(?:\s*(?:±|\+/-|\+-)\s*(?P<std>{_NUMBER}))?\s*(?P<unit>(?:1/)?[^\d\s(+.,][^(±]*|)\s*$"
)
_LONGEST_TEXT = 120


@dataclass(frozen=True, slots=True)
class Measure:
    """One number with its tolerance and its history.

    Parameters
    ----------
    si : float
        Value in the SI unit of its kind. In a drawn unit (see `hardware.draws`) an array of shape (n, 1).
    std : float
        Tolerance, taken as one standard deviation, in the same unit; 0 when none was given.
    origin : {"measured", "assumed", "fitted"}
        How the number was come by; it stays recognisable on every sheet.
    note : str
        Free remark, for example which gauge was used.
    text : str
        The text the number was read from, so that a file is rewritten as it was.
    """

    si: float
    std: float = 0.0
    origin: Origin = "measured"
    note: str = ""
    text: str = ""

    def at(self, si: float) -> Measure:
        """Return the same measure with another SI value; the text no longer holds and is dropped."""
        return replace(self, si=si, text="")


def parse(text: str, dimension: str) -> Measure:
    """Read a number with a unit and perhaps a tolerance.

    Parameters
    ----------
    text : str
        For example ``"32.00 ± 0.02 mm"``, ``"32.00 +/- 0.02 mm"``, ``"32.00(2) mm"`` or ``"85 psi"``.
    dimension : str
        The kind of quantity expected, a key of `forkwright.units.dimensions.DIMENSIONS`.

    Returns
    -------
    Measure
        In SI.

    Raises
    ------
    InputError
        If the text is no number, has no unit or one of the wrong kind; the message says what was expected.

    Examples
    --------
    >>> parse("32.00 ± 0.02 mm", "length").si
    0.032
    >>> round(parse("10 psi", "pressure").si, 1)
    68947.6
    """
    kind = DIMENSIONS[dimension]
    expected = f"{kind.words} such as '{_example(dimension)}'"
    if not isinstance(text, str):
        raise InputError(f"expected text with a unit: {expected}", value=str(text))
    match = _TEXT.match(text) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        raise InputError(f"not a number with a unit; expected {expected}", value=text)
    unit = match["unit"].strip()
    factor_offset = scale(unit, dimension)
    if factor_offset is None:
        raise InputError(_wrong_unit(unit, expected), value=text)
    factor, offset = factor_offset
    value = _number(match["value"])
    std = _tolerance(match)
    si = factor * value + offset
    if not (math.isfinite(si) and math.isfinite(std)):
        raise InputError("the number is too large to use", value=text)
    return Measure(_tidy(si), _tidy(abs(factor) * std), text=text.strip())


def _example(dimension: str) -> str:
    unit = DIMENSIONS[dimension].symbols[0]
    return f"12.3 {unit}".strip()


def _wrong_unit(unit: str, expected: str) -> str:
    if not unit:
        return f"the unit is missing; expected {expected}"
    kinds = kinds_of(unit)
    if kinds:
        return f"'{unit}' measures {DIMENSIONS[kinds[0]].words.split(' ', 1)[1]}; expected {expected}"
    return f"unknown unit '{unit}'; expected {expected}"


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _tolerance(match: re.Match[str]) -> float:
    if match["short"] is not None and match["std"] is not None:
        raise InputError("the tolerance is given twice", value=match.string)
    if match["short"] is not None:
        mantissa = re.split("[eE]", match["value"])
        decimals = len(re.split("[.,]", mantissa[0])[1]) if re.search("[.,]", mantissa[0]) else 0
        exponent = int(mantissa[1]) if len(mantissa) > 1 else 0
        return float(f"{match['short']}e{exponent - decimals}")
    if match["std"] is None:
        return 0.0
    std = _number(match["std"])
    if std < 0 or match["std"].startswith("-"):
        raise InputError("the tolerance must not be negative", value=match.string)
    return std


def _tidy(si: float) -> float:
    """Drop the last digits that only conversion noise put there (32 mm is 0.032 exactly)."""
    return float(f"{si:.15g}")
