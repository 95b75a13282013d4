"""A unit, rider or bike as TOML text: fresh, or brought into a text whose comments and order are kept."""

from __future__ import annotations

import json
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from forkwright.hardware.fields import Part
from forkwright.units import InputError


def to_text(thing: Part) -> str:
    """Return a fresh TOML text of a unit, rider or bike, without what is a mere default.

    Parameters
    ----------
    thing : Unit, Rider or Bike

    Returns
    -------
    str
    """
    document = tomlkit.document()
    _fill(document, *_dumps(thing))
    return tomlkit.dumps(document)


def updated_text(text: str, thing: Part, file: str = "text") -> str:
    """Return `text` with every changed value replaced; comments, order and unchanged text are kept.

    Parameters
    ----------
    text : str
        What the file held.
    thing : Unit, Rider or Bike
        What it is to hold.
    file : str
        Only named in errors.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If the text is no TOML.
    """
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as fault:
        raise InputError(f"not valid TOML: {fault}", file=file) from None
    _fill(document, *_dumps(thing))
    return tomlkit.dumps(document)


def _fill(table: Any, values: dict[str, Any], stated: dict[str, Any], *, top: bool = True) -> None:
    """Bring `table` (a tomlkit table) to hold `values`, touching only what differs.

    A key that the table does not have is added only where it is in `stated`, that is, no mere default.
    """
    for key in [key for key in table if key not in values]:
        del table[key]
    for key, value in values.items():
        if isinstance(value, dict) and not _is_quantity(value):
            if key not in table and key in stated:
                table[key] = tomlkit.inline_table() if _is_flat(value) and not top else tomlkit.table()
            if key in table:
                _fill(table[key], value, stated.get(key, {}), top=False)
        elif key in table:
            if not _same(_unwrapped(table[key]), value):
                table[key] = _inline(value) if isinstance(value, dict) else value
        elif key in stated:
            table[key] = _inline(value) if isinstance(value, dict) else value


def _is_quantity(value: dict[str, Any]) -> bool:
    return "value" in value and set(value) <= {"value", "origin", "note"}


def _dumps(thing: Part) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return all values, and those that are no mere defaults (format and kind are always stated)."""
    values = json.loads(json.dumps(thing.model_dump(exclude_none=True)))
    stated = json.loads(json.dumps(thing.model_dump(exclude_none=True, exclude_defaults=True)))
    return values, {key: values[key] for key in ("format", "kind") if key in values} | stated


def _is_flat(value: dict[str, Any]) -> bool:
    return all(not isinstance(inner, dict | list | tuple) for inner in value.values())


def _inline(value: dict[str, Any]) -> Any:
    table = tomlkit.inline_table()
    table.update(value)
    return table


def _same(old: Any, new: Any) -> bool:
    """A plain number in the file and the text it was read as are the same."""
    return bool(old == new) or (isinstance(old, int | float) and str(old) == new)


def _unwrapped(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value
