"""One way into every file of measurements: CSV, TSV, XLSX or Parquet, whatever its name ends in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from forkwright.evidence.headers import Header, read_header
from forkwright.evidence.limits import DEFAULT_LIMITS, Limits, check_file
from forkwright.evidence.textfiles import Columns, read_text
from forkwright.physics.values import Array
from forkwright.units import InputError

# Beginnings of gzip, zlib and zstd: the table library would unpack such a file, however large it grows.
_PACKED = (b"\x1f\x8b", b"\x78\x01", b"\x28\xb5\x2f\xfd")


@dataclass(frozen=True)
class Table:
    """A file of measurements as it was read, before anyone has said what the columns mean.

    Parameters
    ----------
    path : Path
        The file.
    columns : dict of str to ndarray or polars.Series
        Number columns (NaN where a value is missing) and text columns, by header, in file order.
    headers : tuple of Header
        The headers, taken apart, in file order.
    notes : tuple of str
        Faults that were worked around while reading.
    """

    path: Path
    columns: Columns
    headers: tuple[Header, ...]
    notes: tuple[str, ...] = ()

    def column(self, header: str, name: str) -> Array | pl.Series:
        """Return a column by its header; a missing one is told by `name`, what it was to be read as."""
        if header not in self.columns:
            raise InputError(
                "the column is not in the file",
                file=str(self.path),
                key=name,
                value=header,
                allowed=", ".join(list(self.columns)[:20]),
            )
        return self.columns[header]


def read_table(
    path: str | Path,
    sheet: str | None = None,
    limits: Limits = DEFAULT_LIMITS,
    progress: Callable[[float], None] | None = None,
) -> Table:
    """Read a file of measurements.

    Parameters
    ----------
    path : str or Path
        CSV, TSV, TXT, XLSX or Parquet; told apart by content, not by name.
    sheet : str, optional
        Sheet of a spreadsheet; the first by default.
    limits : Limits
        Upper bounds on what is read.
    progress : callable, optional
        Told the share read, 0 to 1; may raise to stop.

    Returns
    -------
    Table
        Units are still those of the file.

    Raises
    ------
    InputError
        If the file is missing, empty, too large, damaged or holds no table of numbers.
    """
    path = Path(path)
    check_file(path, limits)
    with path.open("rb") as file:
        head = file.read(8)
    if head.startswith(b"PAR1"):
        from forkwright.evidence.parquet import read_parquet

        columns, notes = read_parquet(path, limits)
    elif head.startswith(b"PK"):
        from forkwright.evidence.spreadsheets import read_spreadsheet

        columns, notes = read_spreadsheet(path, sheet, limits, progress)
    elif head.startswith(b"\xd0\xcf\x11\xe0"):
        raise InputError("this is an old binary spreadsheet: save it as XLSX or CSV", file=str(path))
    elif head.startswith(_PACKED):
        raise InputError("this is a packed file: unpack it first", file=str(path))
    else:
        columns, notes = read_text(path, limits, progress)
    if not columns or len(next(iter(columns.values()))) == 0:
        raise InputError("there is no row of numbers in the file", file=str(path))
    return Table(path, columns, tuple(read_header(name) for name in columns), notes)
