"""The bike's linkage as measured: wheel travel against the shock's stroke, typed or imported from a table."""

from __future__ import annotations

import csv
import io
import os
import re
from itertools import pairwise
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from forkwright.hardware.fields import Part, quantity
from forkwright.units import InputError, Measure, parse

_LARGEST_TABLE = 2_000_000  # bytes
_MOST_POINTS = 2000
_UNITS = ("mm", "cm", "in", "m")


class LeveragePoint(Part):
    """One point of the leverage curve."""

    wheel: Annotated[Measure, quantity("length", "0 mm", "600 mm")]
    stroke: Annotated[Measure, quantity("length", "0 mm", "400 mm")]


class Leverage(Part):
    """Points of wheel travel and shock stroke, both from zero and rising.

    `smoothing` is a length of wheel travel: shorter waves of the measured stroke count as reading errors.
    """

    points: Annotated[tuple[LeveragePoint, ...], Field(min_length=3, max_length=_MOST_POINTS)]
    smoothing: Annotated[Measure, quantity("length", "0 mm", "300 mm")] | None = None

    @model_validator(mode="after")
    def _rises(self) -> Leverage:
        first = self.points[0]
        if first.wheel.si != 0.0 or first.stroke.si != 0.0:
            raise _fault("the first point must be zero wheel travel and zero stroke", first)
        for before, after in pairwise(self.points):
            if after.wheel.si <= before.wheel.si or after.stroke.si <= before.stroke.si:
                raise _fault("wheel travel and stroke must both rise from point to point", after)
        return self


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
    lines = text.lstrip("\ufeff").splitlines()
    first = next((line for line in lines if line.strip()), "")
    delimiter = next((mark for mark in (";", "\t", ",") if mark in first), ",")
    units = (_UNITS[0], _UNITS[0])
    found: list[tuple[int, LeveragePoint]] = []
    try:
        rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter))
    except csv.Error as fault:
        raise InputError(f"this is no table: {fault}", file=file) from None
    for number, row in enumerate(rows, start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        if len(cells) != 2:
            raise InputError(
                "expected two columns: wheel travel and stroke", file=file, line=number, value=",".join(cells)
            )
        if not found and not _is_number(cells[0]):
            units = (_unit_in(cells[0], file, number), _unit_in(cells[1], file, number))
            continue
        found.append((number, _point(cells, units, file, number)))
        if len(found) > _MOST_POINTS:
            raise InputError(
                "too many points for a leverage curve", file=file, line=number, allowed=f"{_MOST_POINTS}"
            )
    _check_rise(found, file)
    return Leverage(points=tuple(point for _, point in found))


def load_leverage(path: str | os.PathLike[str]) -> Leverage:
    """Read a leverage curve from a CSV file."""
    from forkwright.hardware.files import read_file

    return leverage_from_csv(read_file(path, largest=_LARGEST_TABLE), os.fspath(path))


def _point(cells: list[str], units: tuple[str, str], file: str, line: int) -> LeveragePoint:
    from forkwright.hardware.files import validated

    read = {}
    try:
        for name, cell, unit in zip(("wheel", "stroke"), cells, units, strict=True):
            if not _is_number(cell):
                raise InputError("expected a number", key=name, value=cell)
            read[name] = parse(f"{cell.replace(',', '.')} {unit}", "length")
        return validated(LeveragePoint, read)
    except InputError as fault:
        fault.file, fault.line = file, line
        raise


def _check_rise(found: list[tuple[int, LeveragePoint]], file: str) -> None:
    if len(found) < 3:
        raise InputError(
            "a leverage curve needs at least three points", file=file, value=f"{len(found)} points"
        )
    line, first = found[0]
    if first.wheel.si != 0.0 or first.stroke.si != 0.0:
        raise InputError(
            "the first point must be zero wheel travel and zero stroke", file=file, line=line,
            value=_words(first),
        )  # fmt: skip
    for (_, before), (line, after) in pairwise(found):
        if after.wheel.si <= before.wheel.si or after.stroke.si <= before.stroke.si:
            raise InputError(
                "wheel travel and stroke must both rise from point to point", file=file, line=line,
                value=_words(after),
            )  # fmt: skip


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


def _words(point: LeveragePoint) -> str:
    return f"{point.wheel.text or point.wheel.si}, {point.stroke.text or point.stroke.si}"


def _fault(reason: str, point: LeveragePoint) -> PydanticCustomError:
    return PydanticCustomError(
        "fit",
        "{reason}",
        {"reason": reason, "key": "leverage.points", "value": _words(point), "allowed": ""},
    )
