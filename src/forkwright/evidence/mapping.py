"""Which column means what, in which unit: proposed from headers, confirmed by the user, kept per source."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit
from tomlkit.exceptions import TOMLKitError

from forkwright.evidence.guesses import guess_reversed, guess_unit
from forkwright.evidence.headers import Header
from forkwright.evidence.tables import Table
from forkwright.units import InputError, parse, refuse_newer_format
from forkwright.units.dimensions import DIMENSIONS
from forkwright.units.registry import scale

TEXT = "text"


@dataclass(frozen=True)
class ColumnUse:
    """What one column of a source means.

    Parameters
    ----------
    name : str
        Name of the channel, for example "travel"; time is always "time".
    column : str
        The header as it stands in the file.
    dimension : str
        Kind of quantity ("length", "pressure", ...), or "text".
    unit : str
        Unit of the numbers in the file; "" for text and plain numbers.
    reversed : bool
        True when the numbers grow the other way than forkwright counts (compression positive).
    zero : float
        Reading, in the file's unit, that means zero; subtracted before the sign is turned.
    absolute : bool
        True when a pressure is absolute; otherwise it is a gauge pressure. It is kept as it is.
    guesses : tuple of str
        What was guessed and from what; empty once the user has confirmed.
    """

    name: str
    column: str
    dimension: str
    unit: str
    reversed: bool = False
    zero: float = 0.0
    absolute: bool = False
    guesses: tuple[str, ...] = ()

    def factor_and_offset(self) -> tuple[float, float]:
        """Return (factor, offset) so that ``si = factor * number + offset``."""
        found = scale(self.unit, self.dimension)
        if found is None:
            raise InputError(
                f"'{self.unit}' is no unit of {self.dimension}",
                key=self.name,
                allowed=", ".join(DIMENSIONS[self.dimension].symbols),
            )
        factor, offset = found
        sign = -1.0 if self.reversed else 1.0
        return sign * factor, sign * (offset - factor * self.zero)


@dataclass(frozen=True)
class SourceMapping:
    """The columns of one source (one logger, one bench), kept so that the next file needs no questions.

    Parameters
    ----------
    source : str
        The user's name for the source.
    uses : tuple of ColumnUse
        One for every column that is read; the others are passed over.
    sample_rate : float
        Samples a second, in Hz, for a file without a time column; 0 when there is one.
    """

    source: str
    uses: tuple[ColumnUse, ...] = field(default=())
    sample_rate: float = 0.0

    def guesses(self) -> tuple[str, ...]:
        """Return everything that was guessed and still needs the user's word."""
        return tuple(f"{use.name}: {guess}" for use in self.uses for guess in use.guesses)

    def confirmed(self) -> SourceMapping:
        """Return the same mapping with the guesses taken as confirmed."""
        return replace(self, uses=tuple(replace(use, guesses=()) for use in self.uses))

    def find(self, name: str) -> ColumnUse | None:
        """Return the use called `name`, if there is one."""
        return next((use for use in self.uses if use.name == name), None)

    def changed(self, name: str, **changes: Any) -> SourceMapping:
        """Return the mapping with one use changed by the user's word, which settles its guesses."""
        if self.find(name) is None:
            raise InputError("no such channel", key=name, allowed=", ".join(u.name for u in self.uses))
        uses = tuple(replace(u, guesses=(), **changes) if u.name == name else u for u in self.uses)
        for use in uses:
            if use.dimension != TEXT:
                use.factor_and_offset()
        return replace(self, uses=uses)


def propose(table: Table, source: str = "") -> SourceMapping:
    """Propose what the columns of a table mean; whatever the headers do not say is marked as a guess.

    Parameters
    ----------
    table : Table
        As read.
    source : str
        Name to keep the mapping under; the file's stem by default.

    Returns
    -------
    SourceMapping
        `guesses()` lists what the user must confirm.
    """
    uses: list[ColumnUse] = []
    taken: set[str] = set()
    for header in table.headers:
        if not header.name:
            continue
        name, n = header.name, 2
        while name in taken:
            name, n = f"{header.name}_{n}", n + 1
        use = _propose_one(table, header, name)
        if use is not None:
            taken.add(name)
            uses.append(use)
    return SourceMapping(source or table.path.stem, tuple(uses))


def _propose_one(table: Table, header: Header, name: str) -> ColumnUse | None:
    readings = table.columns[header.text]
    if not isinstance(readings, np.ndarray):
        if name == "time":
            return ColumnUse(name, header.text, "time", "s")
        return ColumnUse(name, header.text, TEXT, "") if header.dimension == TEXT else None
    if header.dimension == TEXT:
        return ColumnUse(name, header.text, TEXT, "")
    guesses: list[str] = []
    unit = header.unit
    if not unit and header.dimension != "dimensionless":
        unit, why = guess_unit(readings, header.dimension)
        guesses.append(f"the unit of column '{header.text}' is guessed as {unit}: {why}")
    turned, zero = False, 0.0
    if name.endswith("travel"):
        factor = (scale(unit, "length") or (1.0, 0.0))[0]
        turned, zero, why = guess_reversed(readings, factor)
        if why:
            guesses.append(f"column '{header.text}' seems to count the other way: {why}")
    return ColumnUse(name, header.text, header.dimension, unit, turned, zero, header.absolute, tuple(guesses))


def load_mapping(path: str | Path) -> SourceMapping:
    """Read a kept mapping.

    Raises
    ------
    InputError
        If a key is unknown or a unit does not fit; file and key are named.
    """
    path = Path(path)
    try:
        document = tomlkit.parse(path.read_text(encoding="utf-8")).unwrap()
    except (OSError, UnicodeDecodeError, TOMLKitError) as fault:
        raise InputError(f"the mapping cannot be read: {fault}", file=str(path)) from None
    refuse_newer_format(document.get("format"), 1, file=str(path))
    known = {"format", "source", "sample_rate", "columns"}
    _refuse_unknown(document, known, str(path), "")
    if document.get("format") != 1:
        raise InputError("unknown format", file=str(path), key="format", allowed="1")
    columns = document.get("columns", {})
    if not isinstance(columns, dict) or not columns:
        raise InputError("no columns are named", file=str(path), key="columns")
    uses = tuple(_use_from(name, entry, str(path)) for name, entry in columns.items())
    rate = parse(document["sample_rate"], "frequency").si if "sample_rate" in document else 0.0
    return SourceMapping(str(document.get("source", path.stem)), uses, rate)


_USE_KEYS = {"column", "quantity", "unit", "reversed", "zero", "absolute"}


def _use_from(name: str, entry: object, file: str) -> ColumnUse:
    key = f"columns.{name}"
    if not isinstance(entry, dict):
        raise InputError("expected a table", file=file, key=key)
    _refuse_unknown(entry, _USE_KEYS, file, key + ".")
    dimension = str(entry.get("quantity", ""))
    if dimension != TEXT and dimension not in DIMENSIONS:
        raise InputError("unknown kind of quantity", file=file, key=f"{key}.quantity", value=dimension)
    if not isinstance(entry.get("column"), str):
        raise InputError("the header of the column is missing", file=file, key=f"{key}.column")
    zero, turned, absolute = (
        entry.get("zero", 0.0),
        entry.get("reversed", False),
        entry.get("absolute", False),
    )
    if isinstance(zero, bool) or not isinstance(zero, int | float):
        raise InputError("expected a number, in the column's unit", file=file, key=f"{key}.zero")
    if not isinstance(turned, bool) or not isinstance(absolute, bool):
        raise InputError("expected true or false", file=file, key=key)
    use = ColumnUse(
        name, entry["column"], dimension, str(entry.get("unit", "")), turned, float(zero), absolute
    )
    if dimension != TEXT:
        try:
            use.factor_and_offset()
        except InputError as fault:
            raise replace(fault, file=file, key=f"{key}.unit") from None
    return use


def _refuse_unknown(entries: dict[str, Any], known: set[str], file: str, prefix: str) -> None:
    for key in entries:
        if key not in known:
            raise InputError("unknown key", file=file, key=prefix + key, allowed=", ".join(sorted(known)))


def save_mapping(mapping: SourceMapping, path: str | Path) -> None:
    """Write a mapping for the next file of the same source.

    Raises
    ------
    InputError
        If something in it is still a guess, or the file cannot be written.
    """
    if mapping.guesses():
        raise InputError("the mapping still holds guesses: " + "; ".join(mapping.guesses()))
    document: dict[str, Any] = {"format": 1, "source": mapping.source}
    if mapping.sample_rate:
        document["sample_rate"] = f"{mapping.sample_rate:g} Hz"
    document["columns"] = {use.name: _use_entry(use) for use in mapping.uses}
    try:
        Path(path).write_text(tomlkit.dumps(document), encoding="utf-8")
    except OSError as fault:
        raise InputError(f"the mapping cannot be written: {fault.strerror}", file=str(path)) from None


def _use_entry(use: ColumnUse) -> dict[str, Any]:
    entry: dict[str, Any] = {"column": use.column, "quantity": use.dimension}
    if use.unit:
        entry["unit"] = use.unit
    if use.reversed:
        entry["reversed"] = True
    if use.zero:
        entry["zero"] = use.zero
    if use.absolute:
        entry["absolute"] = True
    return entry
