"""How a text table is written: encoding, delimiter, decimal mark, header and units, from its first lines."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

from forkwright.evidence.headers import looks_like_unit
from forkwright.units import InputError

_SAMPLE = 65_536
_NUMBER = re.compile(r"^\s*[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?\s*$")
MISSING = ("", "nan", "NaN", "NA", "N/A", "n/a", "null", "None", "-", "--", "inf", "-inf", "Inf", "-Inf")


@dataclass(frozen=True)
class Layout:
    """How a text table is written, found from its first lines.

    Parameters
    ----------
    encoding : str
        Name of the text encoding.
    delimiter : str
        One character between the fields.
    decimal_comma : bool
        True when numbers carry a decimal comma.
    mixed_decimals : bool
        True when some columns carry commas and others points.
    first_row : int
        Lines before the first row of data.
    names : tuple of str
        Column headers, made unique; units from a row of units are appended in brackets.
    numeric : tuple of bool
        Whether each column holds numbers.
    notes : tuple of str
        What was odd about the file.
    line_end : str
        The character that ends a line (a bare carriage return in very old files).
    """

    encoding: str
    delimiter: str
    decimal_comma: bool
    first_row: int
    names: tuple[str, ...]
    numeric: tuple[bool, ...]
    notes: tuple[str, ...]
    line_end: str = "\n"
    mixed_decimals: bool = False


def find_layout(path: Path) -> Layout:
    """Find out how a text table is written from its first 64 KiB."""
    with path.open("rb") as file:
        head = file.read(_SAMPLE)
    encoding = _encoding(head, path)
    whole = len(head) < _SAMPLE
    text = head.decode(encoding, errors="ignore").lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    lines = lines if whole else lines[:-1]
    lines = lines[:400]
    if not any(line.strip() for line in lines):
        raise InputError("there is no text in the file", file=str(path))
    delimiter = _delimiter(lines)
    rows = [fields_of(line, delimiter) for line in lines]
    layout = place_header(path, encoding, delimiter, rows)
    return replace(layout, line_end="\r") if b"\r" in head and b"\n" not in head else layout


def _encoding(head: bytes, path: Path) -> str:
    if head.startswith(b"\xef\xbb\xbf"):
        return "utf-8-sig"
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16-le" if head.startswith(b"\xff") else "utf-16-be"
    if b"\x00" in head:
        raise InputError("this is not a text table (it holds zero bytes)", file=str(path))
    try:
        head[: len(head) - 4 if len(head) == _SAMPLE else len(head)].decode("utf-8")
    except UnicodeDecodeError as fault:
        return "cp1252" if fault.start < len(head) - 4 or len(head) < _SAMPLE else "utf-8"
    return "utf-8"


def _delimiter(lines: list[str]) -> str:
    """Return the delimiter that cuts most of the lines into the same number (two or more) of fields."""
    best, best_score = ",", 0.0
    body = [line for line in lines if line.strip()]
    for delimiter in ("\t", ";", ",", "|"):
        widths = Counter(len(fields_of(line, delimiter)) for line in body)
        width, agreeing = max(((w, n) for w, n in widths.items()), key=lambda item: (item[1], item[0]))
        if width > 1 and agreeing > best_score:
            best, best_score = delimiter, float(agreeing)
    return best


def fields_of(line: str, delimiter: str) -> list[str]:
    """Cut one line into its fields."""
    try:
        return next(csv.reader(io.StringIO(line, newline=""), delimiter=delimiter), [])
    except csv.Error:  # a quote that never closes, or a line of absurd length
        return line.split(delimiter)


def _is_number(cell: str) -> bool:
    return bool(_NUMBER.match(cell))


def _first_data_row(rows: list[list[str]], width: int) -> int:
    """Return the first row with at least half the usual count of numbers that is followed by such rows."""
    # a row of numbers alone with a field too many is a faulty row, not a header
    counts = [
        sum(map(_is_number, row))
        if len(row) == width or (len(row) > width and all(map(_is_number, row)))
        else 0
        for row in rows
    ]
    usual = Counter(n for n in counts if n).most_common(1)[0][0]
    filled = [i for i, row in enumerate(rows) if any(c.strip() for c in row)]
    for place, i in enumerate(filled):
        if all(2 * counts[j] >= usual for j in filled[place : place + 3]):
            return i
    return next(i for i, n in enumerate(counts) if n)


def place_header(path: Path, encoding: str, delimiter: str, rows: list[list[str]]) -> Layout:
    """Find header, units and first row of data among the first rows of a table."""
    widths = Counter(len(row) for row in rows if any(_is_number(c) for c in row))
    if not widths:
        raise InputError("no row of numbers was found in the file", file=str(path), line=1)
    width = max(widths, key=lambda w: (widths[w], w))
    first = _first_data_row(rows, width)
    notes: list[str] = []
    names, header = _names(rows, first, width, notes)
    if delimiter == "," and header is not None and len(rows[header]) * 2 == width:
        raise InputError(
            "the numbers have decimal commas and the columns are cut by commas too: "
            "save the file with semicolons or tabs",
            file=str(path),
            line=first + 1,
        )
    body = [row for row in rows[first:] if len(row) == width]
    columns = [[row[i].strip() for row in body] for i in range(width)]
    commas = [delimiter != "," and _uses_decimal_comma([cells]) for cells in columns]
    mixed = any(commas) and any(
        not c and any("." in x for x in cells) for c, cells in zip(commas, columns, strict=True)
    )
    if mixed:
        notes.append("some columns have decimal commas and others decimal points: each was read as it is")
    numeric = tuple(_mostly_numbers(cells) for cells in columns)
    return Layout(encoding, delimiter, any(commas), first, names, numeric, tuple(notes), mixed_decimals=mixed)


def _names(
    rows: list[list[str]], first: int, width: int, notes: list[str]
) -> tuple[tuple[str, ...], int | None]:
    above = [i for i in range(first) if any(c.strip() for c in rows[i])]
    if not above:
        notes.append("the columns have no header: they are called 'column 1', 'column 2', ...")
        return tuple(f"column {i + 1}" for i in range(width)), None
    header = above[-1]
    units: list[str] = []
    if (
        len(above) > 1
        and len(rows[above[-2]]) == width
        and all(looks_like_unit(c) for c in rows[header])
        and any(c.strip() for c in rows[header])
    ):
        units, header = [c.strip().strip("[]()") for c in rows[header]], above[-2]
    if header > 0:
        notes.append(f"{header} line{'s were' if header > 1 else ' was'} passed over above the header")
    cells = [c.strip() for c in rows[header]]
    cells = (cells + [f"column {i + 1}" for i in range(len(cells), width)])[:width]
    if units:
        units = (units + [""] * width)[:width]  # a delimiter too many or too few at the row's end
        cells = [f"{c} [{u}]" if u and u != "-" else c for c, u in zip(cells, units, strict=True)]
    return _unique(cells, notes), header


def _unique(names: list[str], notes: list[str]) -> tuple[str, ...]:
    seen: Counter[str] = Counter()
    result = []
    for i, name in enumerate(names):
        name = name or f"column {i + 1}"
        seen[name] += 1
        if seen[name] > 1:
            notes.append(
                f"the header '{name}' stands more than once: the next is called '{name} #{seen[name]}'"
            )
            name = f"{name} #{seen[name]}"
        result.append(name)
    return tuple(result)


def _uses_decimal_comma(columns: list[list[str]]) -> bool:
    cells = [c for column in columns for c in column if _is_number(c)]
    return sum("," in c for c in cells) > sum("." in c for c in cells)


def _mostly_numbers(cells: list[str]) -> bool:
    filled = [c for c in cells if c not in MISSING]
    return not filled or sum(map(_is_number, filled)) * 2 > len(filled)
