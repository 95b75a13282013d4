"""Two-column tables of numbers as CSV text: a damper's measured curve, a shock's stroke over wheel travel."""

from __future__ import annotations

import csv
import math

import numpy as np

from forkwright.ride.options import DampingTable
from forkwright.units import InputError

DAMPING = ("speed_m_s", "force_N")
LEVERAGE = ("wheel_travel_m", "stroke_m")


def read_pairs(text: str, columns: tuple[str, str], file: str | None = None) -> list[tuple[float, float]]:
    """Return the rows of a table with these two columns, SI.

    Parameters
    ----------
    text : str
        CSV with a line of names.
    columns : tuple of str
        The names, in this order.
    file : str, optional
        For errors.

    Raises
    ------
    InputError
        No such table, a row that is no pair of finite numbers, or fewer than two rows.
    """
    try:
        rows = iter(list(csv.reader(text.splitlines())))
    except csv.Error as fault:
        raise InputError(f"this is no table: {fault}", file=file) from None
    header = [name.strip() for name in next(rows, [])]
    if header != list(columns):
        raise InputError(
            "wrong columns", file=file, line=1, value=", ".join(header), allowed=", ".join(columns)
        )
    pairs: list[tuple[float, float]] = []
    for number, row in enumerate(rows, start=2):
        try:
            first, second = (float(cell) for cell in row)
        except ValueError:
            raise InputError("not a pair of numbers", file=file, line=number, value=",".join(row)) from None
        if not (math.isfinite(first) and math.isfinite(second)):
            raise InputError("not a finite number", file=file, line=number, value=",".join(row))
        pairs.append((first, second))
    if len(pairs) < 2:
        raise InputError("two or more rows are needed", file=file)
    return pairs


def read_damping(text: str, file: str | None = None) -> DampingTable:
    """Return a damping table from CSV text; InputError as `read_pairs`, and for one that is no damper's."""
    pairs = np.array(read_pairs(text, DAMPING, file))
    try:
        return DampingTable(pairs[:, 0], pairs[:, 1])
    except InputError as fault:
        fault.file = file
        raise
