"""A leverage curve read from a table of wheel travel and stroke, with errors that name the line."""

from __future__ import annotations

import csv
import io
import os
import re
from typing import NamedTuple

from forkwright.hardware.files import read_file, validated
from forkwright.hardware.leverage import MOST_POINTS, Leverage, LeveragePoint, break_in_rise
from forkwright.units import InputError, parse

_LARGEST_TABLE = 2_000_000  # bytes
_UNITS = ("mm", "cm", "in", "m")


def leverage_from_csv(text: str, file: str = "table") -> Leverage:
    """Read a leverage curve from a table of two columns, wheel travel and stroke.

    Parameters
    ----------
    text : str
        Comma, semicolon or tab separated; decimal commas only with the latter two. A first line of names may
        carry the units in brackets or behind a space ("wheel [mm]"), else millimetres are taken.
    file : str
        Named in errors.

    Raises
    ------
    InputError
        Naming the line of the first thing wrong.

    Examples
    --------
    >>> table = leverage_from_csv("wheel [mm],stroke [mm]\\n0,0\\n80,30\\n160,65\\n")
    >>> len(table.points)
    3
    """
    if len(text) > _LARGEST_TABLE:
        raise InputError("the table is too large to be a leverage curve", file=file)
    rows, units = _rows(text, file), [_UNITS[0], _UNITS[0]]
    while rows and not _is_number(rows[0].cells[0]):
        heading = rows.pop(0)
        units = [_unit_in(cell, file, heading.line) for cell in heading.cells]
    if len(rows) > MOST_POINTS:
        line, allowed = rows[MOST_POINTS].line, f"{MOST_POINTS}"
        raise InputError("too many points for a leverage curve", file=file, line=line, allowed=allowed)
    points = [_point(row, units, file) for row in rows]
    _refuse_break(points, rows, file)
    return Leverage(points=tuple(points))


def load_leverage(path: str | os.PathLike[str]) -> Leverage:
    """Read a leverage curve from a CSV file."""
    return leverage_from_csv(read_file(path, largest=_LARGEST_TABLE), os.fspath(path))


class _Row(NamedTuple):
    line: int
    cells: list[str]


def _rows(text: str, file: str) -> list[_Row]:
    """Every row that is not empty, two cells each, with its line in the file."""
    lines = text.lstrip("\ufeff").splitlines()
    first = next((line for line in lines if line.strip()), "")
    delimiter = next((mark for mark in (";", "\t", ",") if mark in first), ",")
    try:
        read = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter))
    except csv.Error as fault:
        raise InputError(f"this is no table: {fault}", file=file) from None
    rows = [_Row(line, [cell.strip() for cell in row]) for line, row in enumerate(read, start=1)]
    rows = [row for row in rows if any(row.cells)]
    for row in rows:
        if len(row.cells) != 2:
            reason, value = "expected two columns: wheel travel and stroke", ",".join(row.cells)
            raise InputError(reason, file=file, line=row.line, value=value)
    return rows


def _point(row: _Row, units: list[str], file: str) -> LeveragePoint:
    read = {}
    try:
        for name, cell, unit in zip(("wheel", "stroke"), row.cells, units, strict=True):
            if not _is_number(cell):
                raise InputError("expected a number", key=name, value=cell)
            read[name] = parse(f"{cell.replace(',', '.')} {unit}", "length")
        return validated(LeveragePoint, read)
    except InputError as fault:
        fault.file, fault.line = file, row.line
        raise


def _refuse_break(points: list[LeveragePoint], rows: list[_Row], file: str) -> None:
    if len(points) < 3:
        value = f"{len(points)} points"
        raise InputError("a leverage curve needs at least three points", file=file, value=value)
    found = break_in_rise(points)
    if found is not None:
        place, reason = found
        raise InputError(reason, file=file, line=rows[place].line, value=points[place].as_written())


def _is_number(cell: str) -> bool:
    return re.fullmatch(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?", cell) is not None


def _unit_in(heading: str, file: str, line: int) -> str:
    """The unit in brackets, or the last word if it is one of ours; millimetres where nothing is said."""
    bracketed = re.search(r"[\[(]([^\[(\])]*)[\])]$", heading.strip())
    last = heading.split()[-1] if heading.split() else ""
    unit = bracketed[1].strip() if bracketed else (last if last in _UNITS else _UNITS[0])
    if unit not in _UNITS:
        raise InputError("no unit of length", file=file, line=line, value=unit, allowed=", ".join(_UNITS))
    return unit
