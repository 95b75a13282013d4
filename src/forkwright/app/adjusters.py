"""What can be turned, pumped or swapped on a unit without measuring it again: the sliders of the pages."""

from __future__ import annotations

from typing import Any

from forkwright.hardware import Unit
from forkwright.units import Measure

# How far a slider goes where the file states no limit: the field's own widest range would be of no use to a
# finger. A typed value may still go further.
_OPEN_PRESSURE = 2.0e6  # Pa
_OPEN_PRELOAD = 0.02  # m
_CLICK_WORDS = {
    "low_speed": "Low-speed compression",
    "high_speed": "High-speed compression",
    "rebound": "Rebound",
}


def adjusters_of(unit: Unit) -> list[dict[str, Any]]:
    """Return the adjusters that a unit has, in the order in which one sets a fork up.

    Returns
    -------
    list of dict
        ``path`` (key in the file), ``label``, ``kind`` ("pressure", "length", "count" or "clicks"), ``low``,
        ``high`` and ``value`` in SI (gauge pressures) or whole numbers.
    """
    air, setting = unit.air_spring, unit.setting
    found: list[dict[str, Any]] = []
    if air is not None:
        found.append(_pressure("pressure", "Air pressure", setting.pressure, air.pressure_limit))
        if air.negative == "valve":
            limit = air.negative_pressure_limit or air.pressure_limit
            found.append(
                _pressure("negative_pressure", "Negative pressure", setting.negative_pressure, limit)
            )
        if air.floating is not None:
            limit = air.floating.pressure_limit
            found.append(_pressure("floating", "Secondary pressure", setting.floating, limit))
        if air.spacers is not None:
            most = air.spacers.max_count
            found.append(_whole("spacers", "Volume spacers", "count", setting.spacers, most))
    if unit.coil_spring is not None:
        found.append(_slider("preload", "Preload", "length", setting.preload, _OPEN_PRELOAD))
    ranges = unit.damper.click_ranges() if unit.damper is not None else {}
    for name, label in _CLICK_WORDS.items():
        if name in ranges:
            value = getattr(setting, name)
            found.append(
                _whole(name, label, "clicks", ranges[name] if value is None else value, ranges[name])
            )
    return found


def _pressure(name: str, label: str, value: Measure | None, limit: Measure | None) -> dict[str, Any]:
    return _slider(name, label, "pressure", value, limit.si if limit is not None else _OPEN_PRESSURE)


def _slider(name: str, label: str, kind: str, value: Measure | None, high: float) -> dict[str, Any]:
    return {
        "path": f"setting.{name}",
        "label": label,
        "kind": kind,
        "low": 0.0,
        "high": high,
        "value": value.si if value is not None else 0.0,
    }


def _whole(name: str, label: str, kind: str, value: int, high: int) -> dict[str, Any]:
    return {"path": f"setting.{name}", "label": label, "kind": kind, "low": 0, "high": high, "value": value}
