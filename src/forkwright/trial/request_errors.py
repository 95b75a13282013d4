"""Turns what is wrong in a request or a record into one clear line that names file, line, key and value."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from pydantic import ValidationError

from forkwright.units import InputError

_TABLE = re.compile(r"^\s*\[{1,2}\s*([A-Za-z0-9_.-]+)\s*\]{1,2}")
_KEY = re.compile(r"^\s*([A-Za-z0-9_-]+)\s*=")


def parsed_toml(text: str, name: str) -> dict[str, Any]:
    """Return the parsed TOML. Raises InputError with the line where the grammar fails."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        found = re.search(r"line (\d+)", str(fault))
        line = int(found.group(1)) if found else None
        reason = re.sub(r"\s*\(at .*\)$", "", str(fault))
        raise InputError(f"not valid TOML: {reason}", file=name or None, line=line) from fault
    except RecursionError:
        raise InputError("not valid TOML: nested too deeply", file=name or None) from None


def as_input_error(fault: ValidationError, text: str = "", name: str = "") -> InputError:
    """Return the first fault of a validation as an InputError with its place.

    Parameters
    ----------
    fault : pydantic.ValidationError
        What the data model refused.
    text : str
        The TOML it came from, for the line number; may be empty.
    name : str
        The file's name; may be empty.
    """
    first = fault.errors()[0]
    path = tuple(part for part in first["loc"] if not _is_branch(part))
    message, key = first["msg"], ".".join(str(part) for part in path)
    if first["type"] == "value_error":  # one of our own rules: "key: what is wrong"
        key, _, message = message.removeprefix("Value error, ").partition(": ")
        path = tuple(key.split("."))
    value = first.get("input")
    return InputError(
        _what_is_wrong(first["type"], message),
        file=name or None,
        line=line_of(text, path),
        key=key or None,
        value=str(value) if isinstance(value, str | int | float | bool) else None,
        allowed=_allowed(first.get("ctx") or {}),
    )


def line_of(text: str, path: tuple[str | int, ...]) -> int | None:
    """Return the line of a key in TOML text (from 1), the nearest table's line if need be, or None.

    Examples
    --------
    >>> line_of("format = 1\\n[[options]]\\nlabel = 'a'\\n", ("options", 0, "label"))
    3
    """
    if not text:
        return None
    table, seen, best = "", {"": 0}, None
    names = [str(part) for part in path if isinstance(part, str)]
    wanted_table, wanted_key = (names[0] if len(names) > 1 else ""), (names[-1] if names else "")
    place = next((part for part in path if isinstance(part, int)), None)
    for number, row in enumerate(text.splitlines(), start=1):
        if heading := _TABLE.match(row):
            table = heading.group(1)
            seen[table] = seen.get(table, -1) + 1
            if names and table == names[0] and place in (None, seen[table]):
                best = number
        elif (key := _KEY.match(row)) and table == wanted_table and key.group(1) == wanted_key:
            if place is None or not wanted_table or seen.get(table) == place:
                return number
        elif key and not table and names and key.group(1) == names[0]:
            best = number
    return best


def _is_branch(part: str | int) -> bool:
    """Tell whether pydantic put the name of a tried type into the path (`str`, `int`, ... of a union)."""
    return part in {"str", "int", "float", "bool"}


def _what_is_wrong(kind: str, message: str) -> str:
    words = {
        "missing": "missing",
        "extra_forbidden": "no such key",
        "too_short": "too few",
        "too_long": "too many",
    }
    return words.get(kind, message[:1].lower() + message[1:])


def _allowed(context: dict[str, Any]) -> str | None:
    words = {
        "ge": "from {}",
        "gt": "above {}",
        "le": "to {}",
        "lt": "below {}",
        "expected": "{}",
        "min_length": "at least {}",
        "max_length": "at most {}",
        "pattern": "{}",
    }
    parts = [words[key].format(value) for key, value in context.items() if key in words]
    return ", ".join(parts) or None
