"""A setting as what to change on a draft, so that one press gives it to the fork on the bench."""

from __future__ import annotations

from typing import Any

from forkwright.hardware import Setting, Unit
from forkwright.units import Measure, UnitChoice, show


def coil_edits(unit: Unit, rate: float | None) -> dict[str, Any]:
    """Return what to change on a draft for a coil of another rate (N/m), of whose wire nothing is known.

    Nothing for None, for a unit without a coil, and for the rate it has.
    """
    coil = unit.coil_spring
    if rate is None or coil is None or abs(rate / float(coil.rate.si) - 1.0) < 1e-9:
        return {}
    known = [name for name in type(coil).model_fields if name not in ("rate", "preload")]
    gone = {f"coil_spring.{name}": None for name in known if getattr(coil, name) is not None}
    value = {"value": f"{rate / 1e3:.2f} N/mm", "origin": "assumed", "note": "another coil"}
    return {"coil_spring.rate": value} | gone


def edits_to(wanted: Setting | None, now: Setting | None, units: UnitChoice) -> dict[str, Any] | None:
    """Return what to change on a draft to give it a setting, as text with a unit.

    Parameters
    ----------
    wanted : Setting or None
        The setting; None gives None.
    now : Setting or None
        What is alike in it is left alone; None writes everything down.
    units : UnitChoice
        Of the text.
    """
    if wanted is None:
        return None
    edits: dict[str, Any] = {}
    for name in type(wanted).model_fields:
        value = getattr(wanted, name)
        if value is None or (now is not None and value == getattr(now, name)):
            continue
        if isinstance(value, Measure):
            kind = "length" if name == "preload" else "pressure"
            edits[f"setting.{name}"] = value.text or show(value.si, kind, units, 3)
        else:
            edits[f"setting.{name}"] = value
    return edits
