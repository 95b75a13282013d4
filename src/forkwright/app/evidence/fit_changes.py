"""What may be fitted to traces, and what was, as changes to the unit's file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from forkwright.app.evidence.questions import FitQuestion
from forkwright.app.question import chosen_units

if TYPE_CHECKING:
    from forkwright.evidence.traces import Trace
    from forkwright.evidence.unit_fit import UnitFit
    from forkwright.hardware import Unit


def may_be_fitted(unit: Unit, traces: Sequence[Trace]) -> list[dict[str, Any]]:
    """Return what may be fitted, with the words for it and what the file says; `on` is what usually is.

    A pressure of the setting has no tolerance, and is found freely where it is asked for, unless a setting
    was stated for the traces.
    """
    from forkwright.evidence.fit_choice import candidates
    from forkwright.hardware import measures, quantities
    from forkwright.tune.naming import PRESSURES
    from forkwright.units import show_measure

    known, kinds = measures(unit), quantities(unit)
    usual = candidates(unit, traces)
    gas = any(trace.kind in ("spring", "pressure") and trace.setting is None for trace in traces)
    free = [
        path
        for path in (f"setting.{name}" for name in PRESSURES)
        if gas and path in known and path not in usual
    ]
    return [
        {
            "path": path,
            "words": _full_words(path),
            "measured": show_measure(known[path], kinds[path].dimension),
            "on": path in usual,
        }
        for path in (*usual, *free)
    ]


def _full_words(path: str) -> str:
    """Return what a measure is called, with its valve and its place in a list where there are several alike.

    Examples
    --------
    >>> _full_words("damper.rebound_valve.shims.1.thickness"), _full_words("damper.oil.points.0.viscosity")
    ('rebound valve, shim 2: thickness', 'oil, point 1: viscosity')
    """
    from forkwright.tune.naming import measure_words

    part, *rest = path.split(".")
    if part != "damper" or len(rest) < 3:
        return measure_words(path)
    owner, *inner, last = (word.replace("_", " ") for word in rest)
    if inner[-1].isdigit():
        return f"{owner}, {inner[0].removesuffix('s')} {int(inner[-1]) + 1}: {last}"
    return f"{owner}, {' '.join(inner)}: {last}"


def proposed(result: UnitFit, asked: FitQuestion) -> list[dict[str, Any]]:
    """Return a row for each fitted value: measured and fitted in words, and its entry for the file."""
    from forkwright.evidence.write_back import fitted_entries, fitted_unit
    from forkwright.units import Measure, show_measure

    units = chosen_units(asked.units)
    entries, fit = fitted_entries(result), result.fit
    fitted = fitted_unit(result).model_dump(mode="json", exclude_none=True)
    rows = []
    for i, p in enumerate(fit.parameters):
        value = float(fit.values[i])
        reach = show_measure(Measure(value, float(fit.high[i]) - value), p.dimension, units)
        rows.append(
            {
                "path": p.name,
                "words": _full_words(p.name),
                "measured": show_measure(Measure(p.start, p.tolerance), p.dimension, units),
                "fitted": show_measure(Measure(value, float(fit.std[i])), p.dimension, units),
                "interval": reach.split("±")[-1].strip(),
                "learned": float(fit.learned[i]),
                **_change(p.name, entries.get(p.name), fitted),
            }
        )
    return rows


def _change(path: str, entry: dict[str, str] | None, fitted: dict[str, Any]) -> dict[str, Any]:
    """Return what to change for one fitted value: an entry of its own, or an item of a list of the file."""
    parts = path.split(".")
    at = next((i for i, part in enumerate(parts) if part.isdigit()), None)
    if entry is None or at is None:
        return {"entry": entry, "list": None, "index": None}
    found: Any = fitted
    for part in parts[:at]:
        found = found[part]
    return {"entry": found[int(parts[at])], "list": ".".join(parts[:at]), "index": int(parts[at])}


def lists_changed(unit: Unit, rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return the lists of the file that fitted values stand in, as they are."""
    table = unit.model_dump(mode="json", exclude_none=True)
    found: dict[str, Any] = {}
    for path in {row["list"] for row in rows if row["list"]}:
        held: Any = table
        for part in path.split("."):
            held = held[part]
        found[path] = held
    return found
