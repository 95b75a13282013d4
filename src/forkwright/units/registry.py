"""The units library, and the only place that knows it: factor and offset of a symbol, checked for dimension.

Source of every factor: Pint's registry, which follows the SI brochure and NIST SP 811.
"""

from __future__ import annotations

import functools
import re
from typing import TYPE_CHECKING

from forkwright.units.dimensions import DIMENSIONS
from forkwright.units.known import KNOWN

if TYPE_CHECKING:
    import pint

# What technicians write, in Pint's words. Longer spellings first.
_SPELLINGS: dict[str, str] = {
    "°c": "degC", "degc": "degC", "celsius": "degC", "c": "degC",
    "°f": "degF", "degf": "degF", "fahrenheit": "degF", "f": "degF",
    "k": "kelvin", "cc": "cm**3", "ml": "ml", "l": "liter", "in": "inch", '"': "inch", "µm": "um", "μm": "um",
    "kgf": "kilogram_force", "lbf": "pound_force", "lb/in": "pound_force/inch", "lbs/in": "pound_force/inch",
    "lbf/in": "pound_force/inch", "kgf/mm": "kilogram_force/mm", "lb": "pound", "lbs": "pound",
    "psi": "psi", "bar": "bar", "kpa": "kPa", "pa": "Pa", "mpa": "MPa", "gpa": "GPa",
    "°": "degree", "deg": "degree", "degrees": "degree", "%": "percent", "cst": "centistokes",
    "cp": "centipoise", "g": "gram", "g0": "standard_gravity", "h": "hour", "min": "minute", "kg": "kg",
    "mm": "mm", "hz": "Hz", "km/h": "km/hour", "kph": "km/hour", "mph": "mile/hour", "days": "day",
}  # fmt: skip
# Nothing but letters, simple powers and products reaches the library's expression parser.
_PLAIN_SYMBOL = re.compile(r"[A-Za-zµμ°%\"²³·/ 0-3]{0,24}")
_CASE_MATTERS = {"Pa s": "Pa*s", "mPa s": "mPa*s", "MPa": "MPa", "mPa": "mPa", "N m": "N*m"}


@functools.cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True, cache_folder=None)


def _in_pint_words(symbol: str) -> str:
    symbol = " ".join(symbol.strip().replace("²", "2").replace("³", "3").replace("·", " ").split())
    if symbol in _CASE_MATTERS:
        return _CASE_MATTERS[symbol]
    if symbol.lower() in _SPELLINGS:
        return _SPELLINGS[symbol.lower()]
    return re.sub(r"(?<=[A-Za-z])([23])\b", r"**\1", symbol).replace(" ", "*").replace("cSt", "centistokes")


@functools.lru_cache(maxsize=512)
def scale(symbol: str, dimension_name: str) -> tuple[float, float] | None:
    """Return (factor, offset) so that ``si = factor * number + offset``, or None if the symbol does not fit.

    Parameters
    ----------
    symbol : str
        Unit as written by a technician, for example "psi" or "lb/in".
    dimension_name : str
        A key of `DIMENSIONS`.

    Returns
    -------
    tuple of float, or None
        None when the symbol is unknown or belongs to another kind of quantity.
    """
    if not _PLAIN_SYMBOL.fullmatch(symbol):
        return None
    if dimension_name == "dimensionless":
        return {"": (1.0, 0.0), "%": (0.01, 0.0)}.get(symbol.strip())
    if dimension_name == "temperature_difference" and symbol.strip().lower() in ("°c", "c", "k"):
        return 1.0, 0.0
    known = KNOWN.get(dimension_name, {}).get(symbol)
    return known if known is not None else looked_up(symbol, dimension_name)


def looked_up(symbol: str, dimension_name: str) -> tuple[float, float] | None:
    """Return factor and offset as `scale` does, always from the units library.

    Parameters
    ----------
    symbol : str
        Of letters, powers and products only.
    dimension_name : str
        A key of `DIMENSIONS`.

    Returns
    -------
    tuple of float, or None
    """
    registry = _registry()
    try:
        unit = registry.parse_units(_in_pint_words(symbol))
        target = registry.parse_units(DIMENSIONS[dimension_name].si)
        if not symbol.strip() or unit.dimensionality != target.dimensionality:
            return None
        zero = float(registry.Quantity(0.0, unit).to(target).magnitude)
        one = float(registry.Quantity(1.0, unit).to(target).magnitude)
    except Exception:  # whatever the library's own tokenizer makes of odd text, it is no unit of ours
        return None
    return one - zero, zero


@functools.lru_cache(maxsize=512)
def kinds_of(symbol: str) -> tuple[str, ...]:
    """Return the names of the kinds of quantity that `symbol` can measure; empty when unknown."""
    return tuple(name for name in DIMENSIONS if scale(symbol, name) is not None)
