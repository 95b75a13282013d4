"""The bike's linkage as measured: wheel travel against the shock's stroke, typed or imported from a table."""

from __future__ import annotations

import csv
import io
import os
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from forkwright.hardware.fields import Part, quantity
from forkwright.units import InputError, Measure, parse

_LARGEST_TABLE = 2_000_000  # bytes
_MOST_POINTS = 2000


class LeveragePoint(Part):
    """One point of the leverage curve."""

    wheel: Annotated[Measure, quantity("length", "0 mm", "600 mm")]
    stroke: Annotated[Measure, quantity("length", "0 mm", "400 mm")]


class Leverage(Part):
    """Points of wheel travel and shock stroke, both from zero and rising."""

    points: Annotated[tuple[LeveragePoint, ...], Field(min_length=3, max_length=_MOST_POINTS)]
    smoothing: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0

    @model_validator(mode="after")
    def _rises(self) -> Leverage:
        first = self.points[0]
        if first.wheel.si != 0.0 or first.stroke.si != 0.0:
            raise _fault("the first point must be zero wheel travel and zero stroke", first)
        for before, after in zip(self.points, self.points[1:], strict=False):
            if after.wheel.si <= before.wheel.si or after.stroke.si <= before.stroke.si:
                raise _fault("wheel travel and stroke must both rise from point to point", after)
        return self


def leverage_from_csv(text: str, file: str = "table") -> Leverage:
    """Read a leverage curve from a table of two columns, wheel travel and stroke.

    Parameters
    ----------
    text : str
        Comma, semicolon or tab separated; a first line of names may carry the units in brackets or behind a
        space ("wheel [mm]"), else millimetres are taken.
    file : str
        Named in errors.

    Raises
    ------
    InputError
        Naming the line of the first thing wrong.
    """
    if len(text) > _LARGEST_TABLE:
        raise InputError("the table is too large to be a leverage curve", file=file)
    delimiter = (
        next((mark for mark in (";", "\t", ",") if mark in text.splitlines()[0]), ",")
        if text.strip()
        else ","
    )
    rows = list(csv.reader(io.StringIO(text.lstrip("\ufeff")), delimiter=delimiter))
    units = ("mm", "mm")
    points: list[LeveragePoint] = []
    for number, row in enumerate(rows, start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        if len(cells) < 2:
            raise InputError(
                "expected two columns: wheel travel and stroke", file=file, line=number, value=",".join(cells)
            )
        if not points and not _is_number(cells[0]):
            units = (_unit_in(cells[0]), _unit_in(cells[1]))
            continue
        try:
            points.append(
                LeveragePoint(
                    wheel=parse(f"{cells[0]} {units[0]}", "length"),
                    stroke=parse(f"{cells[1]} {units[1]}", "length"),
                )
            )
        except InputError as fault:
            raise InputError(fault.message, file=file, line=number, value=fault.value) from None
    from forkwright.hardware.files import validated

    return validated(Leverage, {"points": tuple(points)}, file=file)


def load_leverage(path: str | os.PathLike[str]) -> Leverage:
    """Read a leverage curve from a CSV file."""
    from forkwright.hardware.files import read_file

    return leverage_from_csv(read_file(path, largest=_LARGEST_TABLE), os.fspath(path))


def _is_number(cell: str) -> bool:
    try:
        float(cell.replace(",", "."))
    except ValueError:
        return False
    return True


def _unit_in(heading: str) -> str:
    for mark in ("mm", "cm", "in", "m"):
        if heading.rstrip("])").replace("[", " ").replace("(", " ").split()[-1:] == [mark]:
            return mark
    return "mm"


def _fault(reason: str, point: LeveragePoint) -> PydanticCustomError:
    value = f"{point.wheel.text or point.wheel.si}, {point.stroke.text or point.stroke.si}"
    return PydanticCustomError(
        "fit", "{reason}", {"reason": reason, "key": "leverage.points", "value": value, "allowed": ""}
    )
