"""What the formats of an export share: the head that says what it is, and how a value stands in a cell.

Tables that a spreadsheet program will open are kept harmless: a text that such a program could take for a
formula gets an apostrophe in front (and so does one that already begins with it, so that reading back takes
exactly one away). An apostrophe alone is the empty text; an empty cell is "nothing entered".
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from forkwright.shop.dump import Dump, Value, column_kinds
from forkwright.units import InputError

KIND = "forkwright shop export"

# What spreadsheet programs take for the beginning of a formula, full-width forms included, and blanks that
# they skip before looking.
_RISKY_BEGINNINGS = tuple("=+-@\t\n\r '＝＋－＠")


def head_of(dump: Dump) -> dict[str, Any]:
    """Return what an export says of itself."""
    return {"kind": KIND, "format": 1, "revision": dump.revision}


def checked_head(head: Any, file: Path) -> str:
    """Return the tables' version that an export's head names, or say that it is no export."""
    if not isinstance(head, dict) or head.get("kind") != KIND:
        raise InputError("this is no export of a shop", file=str(file), key="kind", allowed=KIND)
    if str(head.get("format")) != "1":
        raise InputError("made by a newer program", file=str(file), key="format", allowed="1")
    return str(head.get("revision"))


def columns_of(dump: Dump) -> dict[str, list[str]]:
    """Return the columns of every table in the dump, in the tables' own order."""
    kinds = column_kinds(dump.revision)
    return {name: list(kinds[name]) for name in dump.tables}


def guarded(text: str) -> str:
    """Return a text as it may stand in a table that a spreadsheet program opens.

    Examples
    --------
    >>> guarded("=1+1"), guarded("85 psi"), guarded(""), guarded("'so")
    ("'=1+1", '85 psi', "'", "''so")
    """
    return "'" + text if not text or text.startswith(_RISKY_BEGINNINGS) else text


def unguarded(cell: str) -> str:
    """Return the text that `guarded` was given."""
    return cell.removeprefix("'")


def as_value(cell: str, kind: type, *, place: str, file: Path) -> Value:
    """Return a table's cell as the value it stands for; an empty cell is nothing entered.

    Raises
    ------
    InputError
        The cell does not hold what the column needs.
    """
    if cell == "":
        return None
    if kind is str:
        return unguarded(cell)
    try:
        if kind is bool:
            return {"true": True, "false": False}[cell.lower()]
        number = int(cell) if kind is int else float(cell)
        if not math.isfinite(number):
            raise ValueError
        return number
    except (ValueError, KeyError, OverflowError) as error:
        words = "true or false" if kind is bool else "a number"
        raise InputError("cannot be read", file=str(file), key=place, value=cell, allowed=words) from error


def as_cell(value: Value) -> str:
    """Return a value as a table's cell (`as_value` reads it back)."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return guarded(value) if isinstance(value, str) else repr(value)
