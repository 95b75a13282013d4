"""How large a file may be before it is refused, so that no file can fill the machine."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from forkwright.units import InputError


@dataclass(frozen=True)
class Limits:
    """Upper bounds for one imported file.

    Parameters
    ----------
    file_bytes : int
        Size on disk, and of a packed file once unpacked, in bytes.
    values : int
        Rows times columns.
    sheet_values : int
        Cells of a spreadsheet, each of which takes some 180 bytes while it is read.
    columns : int
        Columns in one table.
    packing : float
        How many times larger than its packed form a part of a spreadsheet may be (plain number).
    """

    file_bytes: int = 2_000_000_000
    values: int = 200_000_000
    sheet_values: int = 6_000_000
    columns: int = 512
    packing: float = 250.0


DEFAULT_LIMITS = Limits()


def check_file(path: Path, limits: Limits = DEFAULT_LIMITS) -> int:
    """Return the size of `path` in bytes, or refuse it with a message.

    Raises
    ------
    InputError
        If there is no such file, it is no plain file, it is empty or too large.
    """
    if not path.exists():
        raise InputError("there is no such file", file=str(path))
    if not path.is_file():
        raise InputError("this is not a plain file", file=str(path))
    size = path.stat().st_size
    if size == 0:
        raise InputError("the file is empty", file=str(path))
    if size > limits.file_bytes:
        raise InputError(
            "the file is too large to read in one piece; cut it into shorter rides",
            file=str(path),
            value=f"{size} bytes",
            allowed=f"up to {limits.file_bytes} bytes",
        )
    return size


def check_values(path: Path, rows: int, columns: int, limits: Limits = DEFAULT_LIMITS) -> None:
    """Refuse a table of more rows times columns, or more columns, than the limits allow."""
    if columns > limits.columns:
        raise InputError(
            "too many columns", file=str(path), value=str(columns), allowed=f"up to {limits.columns}"
        )
    if rows * columns > limits.values:
        raise InputError(
            "the file declares more values than can be held",
            file=str(path),
            value=f"{rows} rows of {columns} columns",
            allowed=f"up to {limits.values} values",
        )
