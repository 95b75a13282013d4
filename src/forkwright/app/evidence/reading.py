"""From a file on the shelf to a recording: what the table looks like, what its columns mean, reading it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from forkwright.app.evidence.channels import kind_of, offered_channels, offered_units
from forkwright.app.evidence.shelf import MOST_VALUES, Held, Shelf
from forkwright.app.jobs import Tell
from forkwright.app.wire import plain
from forkwright.units import DIMENSIONS, InputError

if TYPE_CHECKING:
    from forkwright.evidence.limits import Limits
    from forkwright.evidence.mapping import SourceMapping
    from forkwright.evidence.recording import Recording
    from forkwright.evidence.tables import Table

_SHOWN_ROWS = 6


def look_job(held: Held, sheet: str | None, tell: Tell) -> dict[str, Any]:
    """Read a file for the first time: columns with a few rows and their range, and a proposed mapping."""
    from forkwright.evidence.mapping import propose
    from forkwright.evidence.mapping_files import mapping_table
    from forkwright.evidence.spreadsheets import sheet_names

    table = table_of(held, sheet, tell)
    with named(held):
        sheets = sheet_names(held.path, limits())
    mapping = propose(table, Path(held.name).stem)
    with held.lock:
        held.sheet = sheet
        held.ranges = {name: _range(column) for name, column in table.columns.items()}
    answer: dict[str, Any] = plain(
        {
            "file": held.key,
            "name": held.name,
            "bytes": held.size,
            "sheet": sheet or "",
            "sheets": sheets,
            "rows": len(next(iter(table.columns.values()))),
            "notes": list(table.notes),
            "columns": [_column(name, column) for name, column in table.columns.items()],
            "mapping": mapping_table(mapping),
            "guesses": [
                {"channel": use.name, "words": words} for use in mapping.uses for words in use.guesses
            ],
            "channels": offered_channels(tuple(use.name for use in mapping.uses)),
            "units": offered_units(),
        }
    )
    return answer


def check_mapping(held: Held, document: Mapping[str, Any]) -> dict[str, Any]:
    """Say what a mapping makes of the file's columns: their range in SI, and what is wrong with it."""
    mapping = _mapping(held, document)
    channels: dict[str, Any] = {}
    for use in mapping.uses:
        if use.column not in held.ranges:
            raise InputError("the column is not in the file", file=held.name, key=use.name, value=use.column)
        if use.dimension in DIMENSIONS:
            factor, offset = use.factor_and_offset()
            ends = sorted(factor * end + offset for end in held.ranges[use.column])
            channels[use.name] = {"dimension": use.dimension, "low": ends[0], "high": ends[1]}
    answer: dict[str, Any] = plain({"channels": channels})
    return answer


def read_job(
    held: Held, shelf: Shelf, document: Mapping[str, Any], sheet: str | None, tell: Tell
) -> dict[str, Any]:
    """Read a file as the user has said, keep what was read, and tell what it is."""
    mapping = _mapping(held, document)
    with held.lock:
        held.forget_readings()
        held.mapping, held.sheet = mapping, sheet
        kind = kind_of(mapping)
        answer: dict[str, Any] = {"file": held.key, "name": held.name, "kind": kind, "warnings": []}
        if kind == "rides":  # readings after rides have no time axis
            return answer
        recording = recording_of(held, shelf, tell)
    answer |= {
        "samples": recording.time.size,
        "duration_s": recording.duration,
        "rate_Hz": recording.rate,
        "pieces": len(recording.pieces),
        "channels": [
            {"name": name, "dimension": recording.dimensions[name], "low": values.min(), "high": values.max()}
            for name, values in recording.channels.items()
        ],
        "labels": list(recording.labels),
        "warnings": list(recording.warnings),
    }
    told: dict[str, Any] = plain(answer)
    return told


def recording_of(held: Held, shelf: Shelf, tell: Tell) -> Recording:
    """Return what a file holds, from memory or read again.

    Raises
    ------
    InputError
        If nobody has said yet what its columns mean.
    """
    from forkwright.evidence.importing import import_recording

    with held.lock:
        if held.recording is None:
            if held.mapping is None:
                raise InputError(
                    "say first what the columns of this file mean", file=held.name, key="mapping"
                )
            with named(held):
                held.recording = import_recording(
                    held.path,
                    held.mapping,
                    sheet=held.sheet,
                    limits=limits(),
                    progress=lambda share: tell(0.9 * share, f"reading {held.name}"),
                    called=held.name,
                )
            shelf.make_room(held)
        return held.recording


def table_of(held: Held, sheet: str | None, tell: Tell) -> Table:
    """Read a file's table, under the name its user gave it."""
    from forkwright.evidence.tables import read_table

    with named(held):
        table = read_table(
            held.path, sheet or None, limits(), lambda share: tell(0.9 * share, f"reading {held.name}")
        )
    return replace(table, path=Path(held.name))


def limits() -> Limits:
    """Return the limits of a file that was brought in by a browser."""
    from forkwright.evidence.limits import Limits

    return Limits(file_bytes=1_000_000_000, values=MOST_VALUES)


@contextmanager
def named(held: Held) -> Iterator[None]:
    """Let faults inside name the file as its user does; where it lies is nobody's business."""
    try:
        yield
    except InputError as fault:
        own = str(held.path)
        message = fault.message.replace(own, held.name)
        raise replace(fault, message=message, file=held.name if fault.file == own else fault.file) from None


def _mapping(held: Held, document: Mapping[str, Any]) -> SourceMapping:
    from forkwright.evidence.mapping_files import mapping_from

    return mapping_from(document, held.name)


def _range(column: Any) -> tuple[float, float]:
    if not isinstance(column, np.ndarray):
        return 0.0, 0.0
    present = column[np.isfinite(column)]
    return (float(present.min()), float(present.max())) if present.size else (0.0, 0.0)


def _column(name: str, column: Any) -> dict[str, Any]:
    is_number = isinstance(column, np.ndarray)
    first = column[:_SHOWN_ROWS].tolist() if is_number else column.head(_SHOWN_ROWS).to_list()
    low, high = _range(column)
    return {
        "header": name,
        "number": is_number,
        "first": [
            "" if cell is None or cell != cell else f"{cell:.7g}" if is_number else str(cell)
            for cell in first
        ],
        "missing": int(np.count_nonzero(~np.isfinite(column))) if is_number else int(column.null_count()),
        "low": low,
        "high": high,
    }
