"""A setting as what to change on a draft, so that one press gives it to the fork on the bench."""

from __future__ import annotations

from typing import Any

from forkwright.hardware import Setting
from forkwright.units import Measure, UnitChoice, show


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
