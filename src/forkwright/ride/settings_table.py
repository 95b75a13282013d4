"""Tables of settings to be swept: every combination, a Latin hypercube, or a list from a file."""

from __future__ import annotations

import csv
import itertools
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.hardware import Setting, Unit, check_setting
from forkwright.hardware.files import read_file
from forkwright.units import InputError, parse

MEASURED = {
    "pressure": "pressure",
    "floating": "pressure",
    "negative_pressure": "pressure",
    "preload": "length",
}
COUNTED = ("spacers", "low_speed", "high_speed", "rebound")
COLUMN = {
    "pressure": "pressure_gauge_Pa",
    "floating": "floating_gauge_Pa",
    "negative_pressure": "negative_gauge_Pa",
    "preload": "preload_m",
}
"""Column names of measured entries in results and list files; counted ones keep their own name."""

MOST_SETTINGS = 5_000_000
LARGEST_LIST = 200_000_000  # bytes


@dataclass(frozen=True)
class SettingsTable:
    """Settings, one a row.

    Parameters
    ----------
    names : tuple of str
        Entries of `Setting` that change.
    values : array
        SI numbers (gauge pressures Pa, m, counts), shape (n, len(names)).
    """

    names: tuple[str, ...]
    values: NDArray[np.float64]

    def __len__(self) -> int:
        """Return the number of settings."""
        return int(self.values.shape[0])

    def setting(self, base: Setting, row: int) -> Setting:
        """Return one row as a setting, the other entries taken from `base`."""
        entries = {
            name: int(value) if name in COUNTED else float(value)
            for name, value in zip(self.names, self.values[row], strict=True)
        }
        return base.changed(**entries)

    def columns(self, rows: slice) -> dict[str, NDArray[np.float64] | NDArray[np.int64]]:
        """Return rows as columns named by `COLUMN`."""
        return {
            COLUMN.get(name, name): (
                self.values[rows, place].astype(np.int64) if name in COUNTED else self.values[rows, place]
            )
            for place, name in enumerate(self.names)
        }


def grid(ranges: Mapping[str, Sequence[float]]) -> SettingsTable:
    """Return every combination of values, the last entry changing fastest.

    Parameters
    ----------
    ranges : mapping
        Values by entry of `Setting`: SI numbers, gauge pressures (Pa), m, or counts.

    Returns
    -------
    SettingsTable

    Raises
    ------
    InputError
        For an unknown entry, an empty range, or more than five million settings.

    Examples
    --------
    >>> len(grid({"pressure": [5e5, 6e5], "spacers": [0, 1, 2]}))
    6
    """
    _check_names(ranges)
    count = int(np.prod([float(len(values)) for values in ranges.values()]))
    if not 1 <= count <= MOST_SETTINGS:
        raise InputError("too many or no settings", value=str(count), allowed=f"1 to {MOST_SETTINGS:,}")
    return SettingsTable(tuple(ranges), np.array(list(itertools.product(*ranges.values())), dtype=np.float64))


def latin_hypercube(ranges: Mapping[str, tuple[float, float]], count: int, seed: int = 0) -> SettingsTable:
    """Return settings that fill their ranges evenly: each range is cut in `count` parts, each used once.

    Parameters
    ----------
    ranges : mapping
        (lowest, highest) by entry of `Setting`, both included; counts are rounded down to whole ones.
    count : int
        Number of settings.
    seed : int
        The same seed gives the same settings.

    Returns
    -------
    SettingsTable

    Raises
    ------
    InputError
        For an unknown entry, a range that runs backwards, or a count out of range.

    Notes
    -----
    Source: McKay, Beckman and Conover, Technometrics 21 (1979), as made by `scipy.stats.qmc`.
    """
    from scipy.stats.qmc import LatinHypercube

    _check_names(ranges)
    if not 1 <= count <= MOST_SETTINGS:
        raise InputError("too many or no settings", value=str(count), allowed=f"1 to {MOST_SETTINGS:,}")
    for name, (low, high) in ranges.items():
        if not low <= high:
            raise InputError("the range runs backwards", key=name, value=f"{low:g} to {high:g}")
    unit = LatinHypercube(len(ranges), rng=np.random.default_rng(seed)).random(count)
    columns = []
    for place, (name, (low, high)) in enumerate(ranges.items()):
        if name in COUNTED:
            columns.append(np.minimum(np.floor(low + unit[:, place] * (high - low + 1.0)), high))
        else:
            columns.append(low + unit[:, place] * (high - low))
    return SettingsTable(tuple(ranges), np.column_stack(columns))


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
        _check_names([name])
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
    _check_names(names)
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


def check_table(unit: Unit, table: SettingsTable) -> None:
    """Refuse a table that holds a setting the unit must not be given.

    Raises
    ------
    InputError
        For the first such row; rows are tried at the extremes of every entry first.
    """
    if len(table) == 0:
        raise InputError("the table holds no settings")
    extremes = {int(place) for place in (*table.values.argmin(axis=0), *table.values.argmax(axis=0))}
    for row in sorted(extremes):
        check_setting(unit, table.setting(unit.setting, row))


def _check_names(names: Sequence[str] | Mapping[str, object]) -> None:
    known = (*MEASURED, *COUNTED)
    for name in names:
        if name not in known:
            raise InputError("not an entry of a setting", value=name, allowed=", ".join(known))
    if not names:
        raise InputError("no entry to change is named", allowed=", ".join(known))


def _values(name: str, text: str) -> list[float]:
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
    if name in COUNTED:
        if len(text.strip()) > 9:
            raise InputError("far too many")
        return float(int(text.strip()))
    return float(parse(text.strip(), MEASURED[name]).si)
