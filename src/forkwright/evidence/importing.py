"""A file of measurements, mapped, becomes a recording: columns in SI, in order, with every fault named."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import numpy as np
import polars as pl
from numpy.typing import NDArray

from forkwright.evidence.clock import Clock, find_pieces, read_clock
from forkwright.evidence.faults import bridge_missing, clipping_words
from forkwright.evidence.limits import DEFAULT_LIMITS, Limits
from forkwright.evidence.mapping import TEXT, ColumnUse, SourceMapping, propose
from forkwright.evidence.recording import Recording
from forkwright.evidence.tables import Table, read_table
from forkwright.physics.values import Array
from forkwright.units import InputError

AnyArray = TypeVar("AnyArray", Array, NDArray[np.str_])

# Sensors that are looked at for sitting at the end of their range; a steady speed or temperature is no fault.
_WITH_STOPS = ("length", "force", "pressure", "acceleration")


def import_recording(
    path: str | Path,
    mapping: SourceMapping | None = None,
    *,
    accept_guesses: bool = False,
    sheet: str | None = None,
    limits: Limits = DEFAULT_LIMITS,
    progress: Callable[[float], None] | None = None,
    called: str | None = None,
) -> Recording:
    """Read a file of measurements into SI channels on one time axis.

    Parameters
    ----------
    path : str or Path
        CSV, TSV, XLSX or Parquet.
    mapping : SourceMapping, optional
        What the columns mean; proposed from the headers when not given.
    accept_guesses : bool
        Take guessed units and signs as they are; otherwise a guess is an error that lists what to confirm.
    sheet : str, optional
        Sheet of a spreadsheet.
    limits : Limits
        Upper bounds on what is read.
    progress : callable, optional
        Told the share read, 0 to 1; may raise to stop.
    called : str, optional
        What the user calls the file, where it lies under another name.

    Returns
    -------
    Recording
        Faults of the file (gaps, duplicates, clipped sensors, unreadable cells) are in `warnings`.

    Raises
    ------
    InputError
        If the file cannot be read, a mapped column is missing, or something is only guessed.
    """
    table = read_table(path, sheet, limits, progress)
    if called is not None:
        table = replace(table, path=Path(called))
    mapping = propose(table) if mapping is None else mapping
    return _assemble(table, mapping, accept_guesses, in_place=True)


def assemble(table: Table, mapping: SourceMapping, *, accept_guesses: bool = False) -> Recording:
    """Turn a table that is still needed, and its mapping, into a recording; see `import_recording`."""
    return _assemble(table, mapping, accept_guesses, in_place=False)


def _assemble(table: Table, mapping: SourceMapping, accept_guesses: bool, in_place: bool) -> Recording:
    """Assemble a recording; `in_place` turns the table's own arrays into the channels, which saves a copy."""
    file = str(table.path)
    notes = [*table.notes, *mapping.accepted(accept_guesses, file)]
    for use in mapping.uses:
        table.column(use.column, use.name)
    clock = _clock(table, mapping, file)
    uses = [u for u in mapping.uses if u.name != "time" and u.dimension != TEXT]
    if not uses:
        raise InputError(
            "no column was recognised; name the columns in a mapping",
            file=file,
            value=", ".join(list(table.columns)[:12]),
        )
    shared = {u.column for u in uses if sum(v.column == u.column for v in mapping.uses) > 1}
    with ThreadPoolExecutor(2) as pool:
        values = pool.map(
            lambda use: _in_si(table.columns[use.column], use, in_place and use.column not in shared), uses
        )
        channels = {use.name: v for use, v in zip(uses, values, strict=True)}
    labels = {u.name: _text(table.columns[u.column]) for u in mapping.uses if u.dimension == TEXT}
    timed = mapping.find("time") is not None or mapping.sample_rate > 0
    return replace(_tidy(Path(file).name, clock, channels, uses, labels, notes), timed=timed)


def _clock(table: Table, mapping: SourceMapping, file: str) -> Clock:
    use = mapping.find("time")
    if use is not None:
        return read_clock(table.columns[use.column], use, file)
    rows = len(next(iter(table.columns.values())))
    if mapping.sample_rate > 0:
        return Clock(np.arange(rows) / mapping.sample_rate, None, ())
    if not _needs_no_time(mapping):
        raise InputError("there is no time column: name it, or give the sampling rate", file=file)
    return Clock(np.arange(rows, dtype=np.float64), None, ("no time column: readings count in their order",))


def _needs_no_time(mapping: SourceMapping) -> bool:
    """Return True for force over travel or speed, and for pressure over travel."""
    names = {use.name for use in mapping.uses}
    pressed = any(name.endswith("pressure") for name in names)
    return bool(names & {"travel", "speed"}) and ("force" in names or (pressed and "travel" in names))


def in_si(table: Table, use: ColumnUse) -> Array:
    """Return one column of a table in SI, as an array of its own; missing values are NaN.

    Raises
    ------
    InputError
        If the table has no such column, or it holds text.
    """
    return _in_si(table.column(use.column, use.name), use, in_place=False)


def _in_si(column: Array | pl.Series, use: ColumnUse, in_place: bool) -> Array:
    """Convert one column to SI; missing values stay NaN for now."""
    if not isinstance(column, np.ndarray):
        raise InputError("the column holds text, not numbers", key=use.name, value=use.column)
    factor, offset = use.factor_and_offset()
    values = column if in_place else column.copy()
    if factor != 1.0:
        values *= factor
    if offset:
        values += offset
    return values


def _text(column: Array | pl.Series) -> NDArray[np.str_]:
    if isinstance(column, np.ndarray):
        return np.array([f"{x:g}" for x in column.tolist()], dtype=np.str_)
    return np.asarray(column.fill_null("").to_list(), dtype=np.str_)


def _tidy(
    source: str,
    clock: Clock,
    channels: dict[str, Array],
    uses: list[ColumnUse],
    labels: dict[str, NDArray[np.str_]],
    notes: list[str],
) -> Recording:
    """Put samples in order, bridge short holes, cut at long ones and name what looks clipped."""
    if clock.keep is not None:
        channels, labels = _rows(channels, clock.keep), _rows(labels, clock.keep)
    time = clock.time
    whole, bridged = bridge_missing(time, channels)
    notes += (*clock.notes, *bridged)
    if whole is not None:
        time, channels, labels = time[whole], _rows(channels, whole), _rows(labels, whole)
    if time.size < 2:
        raise InputError("fewer than two complete rows of numbers are left", file=source)
    step, regular, pieces, gaps = find_pieces(time)
    notes += gaps
    with ThreadPoolExecutor(2) as pool:
        ends = [u.name for u in uses if u.dimension in _WITH_STOPS]
        clipped = pool.map(lambda name: clipping_words(name, channels[name], step), ends)
        notes += [words for found in clipped for words in found]
    return Recording(
        source,
        time,
        channels,
        {u.name: u.dimension for u in uses},
        1.0 / step,
        regular,
        pieces,
        labels,
        frozenset(u.name for u in uses if u.absolute),
        tuple(notes),
    )


def _rows(columns: dict[str, AnyArray], kept: NDArray[np.intp]) -> dict[str, AnyArray]:
    return {name: values[kept] for name, values in columns.items()}
