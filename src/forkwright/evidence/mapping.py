"""Which column means what, in which unit: proposed from headers and confirmed by the user."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from forkwright.evidence.guesses import guess_reversed, guess_unit
from forkwright.evidence.headers import Header
from forkwright.evidence.tables import Table
from forkwright.units import InputError
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

    def accepted(self, accept_guesses: bool, file: str) -> tuple[str, ...]:
        """Return a note on every guess that is taken as it is; refuse them where they are not accepted."""
        guesses = self.guesses()
        if guesses and not accept_guesses:
            raise InputError("please confirm what is only guessed: " + "; ".join(guesses), file=file)
        return tuple(f"taken as guessed: {guess}" for guess in guesses)

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
