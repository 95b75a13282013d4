"""Where in a TOML text a dotted key stands, so that an error can name its line."""

from __future__ import annotations

import re

_HEADER = re.compile(r"^\s*\[{1,2}\s*([^\]#]+?)\s*\]{1,2}\s*(?:#.*)?$")
_KEY = re.compile(
    r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*="""
)


def line_of(text: str, key: str) -> int | None:
    """Return the line (from 1) on which a dotted key is written.

    Parameters
    ----------
    text : str
        The TOML text.
    key : str
        Dotted path such as ``air_spring.spacers.volume``; numbers in it (list positions) are passed over.

    Returns
    -------
    int or None
        The line of the key; where the key itself is not written, that of its nearest parent; None when
        nothing of it stands in the text.
    """
    places = _places(text)
    parts = [part for part in key.split(".") if not part.isdigit()]
    while parts:
        found = places.get(".".join(parts))
        if found is not None:
            return found
        parts.pop()
    return None


def _places(text: str) -> dict[str, int]:
    places: dict[str, int] = {}
    table = ""
    inside = ""  # the closing mark of a multi-line string that is still open
    for number, line in enumerate(text.splitlines(), start=1):
        if inside:
            inside = "" if inside in line else inside
            continue
        if header := _HEADER.match(line):
            table = _bare(header[1])
            places.setdefault(table, number)
        elif key := _KEY.match(line):
            path = _bare(key[1])
            full = f"{table}.{path}" if table else path
            places.setdefault(full, number)
            _add_inline_keys(places, full, line[key.end() :], number)
        for mark in ('"""', "'''"):
            if line.count(mark) % 2:
                inside = mark
    return places


def _add_inline_keys(places: dict[str, int], parent: str, value: str, number: int) -> None:
    for name in re.findall(r"[{,]\s*([A-Za-z0-9_-]+)\s*=", value):
        places.setdefault(f"{parent}.{name}", number)


def _bare(path: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in path.split("."))
