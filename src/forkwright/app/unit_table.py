"""The units the pages can switch between, with the factors the browser needs, taken from the units room."""

from __future__ import annotations

import re
from typing import Any

from forkwright.units import UnitChoice, from_unit, show, unit_label

#: What the units switch offers, the default first. Other kinds of quantity are shown in their usual unit.
CHOICES: dict[str, tuple[str, ...]] = {
    "pressure": ("psi", "bar", "kPa"),
    "length": ("mm", "in"),
    "force": ("N", "kgf", "lbf"),
    "stiffness": ("N/mm", "kgf/mm", "lb/in"),
    "volume": ("ml", "in3"),
    "temperature": ("°C", "°F"),
    "mass": ("kg", "lb"),
    "speed": ("m/s", "km/h"),
}

#: Kinds that have one unit only on the screens.
_FIXED = ("angle", "stress", "kinematic_viscosity", "energy", "dimensionless", "time", "flow")

#: A way along a trail, too long for the unit that parts are measured in.
_METRES = {"symbol": "m", "factor": 1.0, "offset": 0.0, "decimals": 1}


def unit_table() -> dict[str, Any]:
    """Return, for every kind of quantity, the units offered and how SI numbers become them.

    Returns
    -------
    dict
        ``{"pressure": [{"symbol": "psi", "factor": 6894.757, "offset": 0.0, "decimals": 1}, ...], ...}``
        with ``si = number * factor + offset``.
    """
    table = {kind: [_entry(kind, symbol) for symbol in symbols] for kind, symbols in CHOICES.items()}
    return table | {kind: [_entry(kind, None)] for kind in _FIXED} | {"distance": [_METRES]}


def _entry(kind: str, symbol: str | None) -> dict[str, Any]:
    choice = UnitChoice(**{kind: symbol}) if symbol else UnitChoice()
    offset = float(from_unit(0.0, kind, choice))
    return {
        "symbol": unit_label(kind, choice),
        "factor": float(from_unit(1.0, kind, choice)) - offset,
        "offset": offset,
        "decimals": _decimals(show(offset, kind, choice)),
    }


def _decimals(shown: str) -> int:
    found = re.search(r"\d+\.(\d+)", shown)
    return len(found[1]) if found else 0
