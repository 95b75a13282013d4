"""Fitted values back into the unit's file: marked as fitted, from which trace, the measured value kept."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

from forkwright.evidence.fit_choice import ZEROS
from forkwright.evidence.telling_apart import UNTOUCHED
from forkwright.evidence.unit_fit import UnitFit
from forkwright.hardware import Unit, measures, quantities, updated_text
from forkwright.hardware.files import read_file, validated, write_whole
from forkwright.units import DIMENSIONS, InputError, Measure
from forkwright.units.registry import scale
from forkwright.units.write import write

_KEPT = re.compile(r"measured: ([^;]+)")


def fitted_unit(result: UnitFit) -> Unit:
    """Return the unit with the fitted values in place of the measured ones.

    A value about which the traces said next to nothing stays as it was measured. Each fitted value carries
    its standard error as tolerance, ``origin = "fitted"``, and a note that names the traces and keeps the
    measured text.

    Raises
    ------
    InputError
        If a fitted value breaks one of the unit's own rules; the unit is then left as measured.
    """
    table = result.unit.model_dump(mode="json", exclude_none=True)
    for path, entry in fitted_entries(result).items():
        _put(table, path, entry)
    return validated(Unit, table, file="the fitted unit")


def fitted_entries(result: UnitFit) -> dict[str, dict[str, str]]:
    """Return the entry of each fitted value for the unit's file, by path: value, origin and note.

    Parameters
    ----------
    result : UnitFit
        A finished fit; values about which the traces said next to nothing have no entry.
    """
    known, kinds = measures(result.unit), quantities(result.unit)
    # what follows the semicolon is read again by the next fit, so a file's name may hold none
    traces = ", ".join(dict.fromkeys(t.name.replace(";", ",") for t in result.traces))
    fit, entries = result.fit, {}
    for p, value, std, share in zip(fit.parameters, fit.values, fit.std, fit.learned, strict=True):
        if p.name in ZEROS or share < UNTOUCHED:
            continue
        old, dimension = known[p.name], kinds[p.name].dimension
        entries[p.name] = {
            "value": _rounded_text(float(value), float(std), old, dimension),
            "origin": "fitted",
            "note": f"fitted to {traces}; measured: {_measured_text(old, dimension)}",
        }
    return entries


def write_fitted(result: UnitFit, source: str | Path, target: str | Path | None = None) -> Path:
    """Write the fitted unit, keeping the comments and order of the file it came from.

    Parameters
    ----------
    result : UnitFit
        A finished fit.
    source : str or Path
        The unit's file.
    target : str or Path, optional
        Where to write; by default the file itself, all or nothing.

    Returns
    -------
    Path
        What was written.
    """
    goal = Path(target if target is not None else source)
    text = updated_text(read_file(source), fitted_unit(result), str(source))
    write_whole(goal, text)
    return goal


def _put(table: dict[str, Any], path: str, value: Any) -> None:
    *parents, last = path.split(".")
    place: Any = table
    for key in parents:
        if isinstance(place, list):
            if isinstance(place[int(key)], str):  # a shim as text
                place[int(key)] = {"size": place[int(key)]}
            place = place[int(key)]
        else:
            place = place[key]
    if isinstance(place, list):
        place[int(last)] = value
    else:
        place[last] = value


def _measured_text(old: Measure, dimension: str) -> str:
    """Return the text first measured, also after several fits."""
    kept = _KEPT.search(old.note) if old.origin == "fitted" else None
    return kept[1].strip() if kept else old.text or write(old, dimension)


def _rounded_text(value: float, std: float, old: Measure, dimension: str) -> str:
    """Write a value with its error to two digits of the error, in the unit the file used before."""
    symbol = _symbol(old, dimension)
    found = scale(symbol, dimension)
    if found is None:
        raise InputError("no unit to write the value in", key=dimension)
    factor, offset = found
    number, error = (value - offset) / factor, abs(std / factor)
    decimals = min(max(0, 1 - math.floor(math.log10(error))), 12) if error > 0 else 6
    return f"{number:.{decimals}f} ± {error:.{decimals}f} {symbol}".rstrip()


def _symbol(old: Measure, dimension: str) -> str:
    found = re.search(r"[^\d\s(+.,±)-][^±]*$", old.text)
    symbol = found[0].strip() if found else ""
    return symbol if scale(symbol, dimension) is not None else DIMENSIONS[dimension].symbols[0]
