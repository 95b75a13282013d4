"""Settings to be swept, as technicians write them: ranges on the command line, or a list in a file."""

from __future__ import annotations

import csv
import os
from collections.abc import Sequence

import numpy as np

from forkwright.hardware.files import read_file
from forkwright.ride.settings_table import COUNTED, MEASURED, SettingsTable, check_names
from forkwright.units import InputError, parse

LARGEST_LIST = 200_000_000  # bytes


def read_ranges(texts: Sequence[str]) -> dict[str, list[float]]:
    """Read ranges such as ``pressure=70 psi..100 psi:5 psi``, ``spacers=0..4`` or ``rebound=2,4,8``.

    Parameters
    ----------
    texts : sequence of str
        Each ``entry=values``: a list with commas, or ``lowest..highest`` with an optional ``:step``. Counts
        step by one; a measured range without a step keeps its two ends.

    Returns
    -------
    dict
        Values by entry, SI.

    Raises
    ------
    InputError
        Naming the text that cannot be read.
    """
    ranges: dict[str, list[float]] = {}
    for text in texts:
        name, _, values = text.partition("=")
        name = name.strip().replace("-", "_")
        check_names([name])
        try:
            ranges[name] = _values(name, values)
        except (ValueError, InputError) as fault:
            reason = fault.message if isinstance(fault, InputError) else "not a list or range of numbers"
            raise InputError(reason, key=name, value=text, allowed="a,b,c or low..high:step") from None
    return ranges


def read_list(path: str | os.PathLike[str]) -> SettingsTable:
    """Read a list of settings from a CSV file.

    Parameters
    ----------
    path : path
        The header names entries of a setting; cells hold quantities such as "85 psi", or counts.

    Returns
    -------
    SettingsTable

    Raises
    ------
    InputError
        Naming file and line of the first cell that cannot be read.
    """
    file = os.fspath(path)
    lines = read_file(path, largest=LARGEST_LIST).splitlines()
    try:
        rows = iter(list(csv.reader(lines)))
    except csv.Error as fault:
        raise InputError(f"not a table: {fault}", file=file) from None
    names = [name.strip().replace("-", "_") for name in next(rows, [])]
    check_names(names)
    values = []
    for number, row in enumerate(rows, start=2):
        if not any(cell.strip() for cell in row):
            continue
        if len(row) != len(names):
            raise InputError("not one cell for each column", file=file, line=number, value=",".join(row))
        try:
            values.append([_number(name, cell) for name, cell in zip(names, row, strict=True)])
        except (ValueError, InputError) as fault:
            reason = fault.message if isinstance(fault, InputError) else "not a whole number"
            raise InputError(reason, file=file, line=number, value=",".join(row)) from None
    return SettingsTable(tuple(names), np.array(values, dtype=np.float64).reshape(-1, len(names)))


def _values(name: str, text: str) -> list[float]:
    """Read a comma list or a range of one entry, SI."""
    if ".." not in text:
        return [_number(name, part) for part in text.split(",")]
    low_text, _, rest = text.partition("..")
    high_text, _, step_text = rest.partition(":")
    low, high = _number(name, low_text), _number(name, high_text)
    if high < low:
        raise InputError("the range runs backwards")
    if not step_text and name not in COUNTED:
        return [low, high]
    step = _number(name, step_text or "1")
    if not (step > 0.0 and (high - low) / step < 1e6):
        raise InputError("the step must be above zero and not far too small")
    return [low + step * place for place in range(int((high - low) / step + 1.0 + 1e-9))]


def _number(name: str, text: str) -> float:
    """Read one value of an entry: a count, or a quantity in SI."""
    if name in COUNTED:
        if len(text.strip()) > 9:
            raise InputError("far too many")
        return float(int(text.strip()))
    return float(parse(text.strip(), MEASURED[name]).si)
