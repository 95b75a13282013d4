"""Tables of settings to be swept: every combination of values, or a Latin hypercube."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.hardware import Setting, Unit, check_setting
from forkwright.ride.options import RideOptions
from forkwright.units import InputError

MEASURED = {
    "pressure": "pressure",
    "floating": "pressure",
    "negative_pressure": "pressure",
    "preload": "length",
}
"""Entries of a setting that are measured, and their dimension."""

CLICKS = ("low_speed", "high_speed", "rebound")
COUNTED = ("spacers", *CLICKS)
"""Entries of a setting that are counted."""

COLUMN = {
    "pressure": "pressure_gauge_Pa",
    "floating": "floating_gauge_Pa",
    "negative_pressure": "negative_gauge_Pa",
    "preload": "preload_m",
}
"""Column names of measured entries in results and list files; counted ones keep their own name."""

MOST_SETTINGS = 5_000_000


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
    check_names(ranges)
    count = int(np.prod([float(len(values)) for values in ranges.values()]))
    if not 1 <= count <= MOST_SETTINGS:
        raise InputError("too many or no settings", value=str(count), allowed=f"1 to {MOST_SETTINGS:,}")
    return SettingsTable(tuple(ranges), np.array(list(itertools.product(*ranges.values())), dtype=np.float64))


def spread(ranges: Mapping[str, Sequence[float]], count: int | None = None, seed: int = 0) -> SettingsTable:
    """Return every combination of values, or `count` settings that fill the ranges evenly.

    Parameters and errors are those of `grid` and, from the lowest to the highest value of each entry, of
    `latin_hypercube`.
    """
    if count is None:
        return grid(ranges)
    ends = {name: (min(values), max(values)) for name, values in ranges.items()}
    return latin_hypercube(ends, count, seed)


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

    check_names(ranges)
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


def check_moved(table: SettingsTable, options: RideOptions) -> None:
    """Refuse clicks in a table of settings where a table stands in for the damper: they change nothing."""
    idle = [name for name in table.names if name in CLICKS]
    if options.damping is not None and idle:
        raise InputError(
            "clicks change nothing here: the damping is that of a table", key="vary", value=", ".join(idle)
        )


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


def check_names(names: Sequence[str] | Mapping[str, object]) -> None:
    """Refuse names that are no entry of a setting, and none at all."""
    known = (*MEASURED, *COUNTED)
    for name in names:
        if name not in known:
            raise InputError("not an entry of a setting", value=name, allowed=", ".join(known))
    if not names:
        raise InputError("no entry to change is named", allowed=", ".join(known))
