"""Files that lose nothing: append-only lines chained by hashes, whole-file writes that happen or do not."""

from __future__ import annotations

import hashlib
import json
import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from forkwright.trial.seal import canonical
from forkwright.units import InputError

_START = "0" * 64
_SHOWN = 200  # characters of a line that are shown in an error


@dataclass(frozen=True)
class Lines:
    """What a journal holds."""

    entries: tuple[dict[str, Any], ...]
    head: str
    """The last link of the chain, 64 hex digits: it stands for everything before it."""
    broken_at: int | None
    """The first line (from 1) whose link does not fit: changed by other means than this program."""
    torn: str
    """An unfinished last line, left by a power cut; kept aside at the next write."""


def read_lines(path: Path) -> Lines:
    """Read a journal; a missing file is an empty one.

    Raises
    ------
    InputError
        Naming file and line, if a finished line is not valid.
    """
    try:
        text = path.read_bytes().decode("utf-8", errors="replace") if path.exists() else ""
    except OSError as fault:
        raise InputError(f"cannot be read ({fault.__class__.__name__})", file=str(path)) from fault
    *finished, torn = text.split("\n")
    entries, head, broken_at = [], _START, None
    for number, row in enumerate(finished, start=1):
        entry, chain = _parsed(row, path, number)
        if broken_at is None and not _fits(chain, head, entry):
            broken_at = number
        entries.append(entry)
        head = chain
    return Lines(tuple(entries), head, broken_at, torn)


def append(path: Path, entries: Sequence[dict[str, Any]], aside: Path) -> str:
    """Add entries to a journal, safely on disk when this returns; return the new head of the chain.

    Parameters
    ----------
    path : Path
        The journal.
    entries : sequence of dict
        What to add, in order.
    aside : Path
        Where an unfinished last line, left by a power cut, is kept.
    """
    lines = read_lines(path)
    if lines.torn:
        append(aside, [{"why": f"unfinished line of {path.name}", "text": lines.torn}], aside)
        with path.open("r+b") as file:
            file.truncate(path.read_bytes().rfind(b"\n") + 1)
    head, rows = lines.head, []
    for entry in entries:
        head = _link(head, entry)
        rows.append(json.dumps({"entry": entry, "chain": head}, ensure_ascii=False, allow_nan=False) + "\n")
    is_new = not path.exists()
    with path.open("ab") as file:
        file.write("".join(rows).encode("utf-8"))
        file.flush()
        os.fsync(file.fileno())
    if is_new:
        _settle(path.parent)
    return head


def write_whole(path: Path, text: str) -> None:
    """Write a file so that a reader sees either the old or the whole new content, safely on disk."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    _settle(path.parent)


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a folder for one writer at a time, across threads and processes; freed when the holder dies."""
    with (folder / "lock").open("a+b") as file:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)
            try:
                yield
            finally:
                file.seek(0)
                msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.flock(file, fcntl.LOCK_UN)


def _parsed(row: str, path: Path, number: int) -> tuple[dict[str, Any], str]:
    try:
        line = json.loads(row)
        entry, chain = line["entry"], line["chain"]
    except (ValueError, KeyError, TypeError, RecursionError) as fault:
        raise InputError(
            "not a line of this journal", file=str(path), line=number, value=row[:_SHOWN]
        ) from fault
    if not isinstance(entry, dict) or not isinstance(chain, str):
        raise InputError("not a line of this journal", file=str(path), line=number, value=row[:_SHOWN])
    return entry, chain


def _fits(chain: str, before: str, entry: dict[str, Any]) -> bool:
    try:
        return chain == _link(before, entry)
    except ValueError:  # no number that this program would have written
        return False


def _link(before: str, entry: dict[str, Any]) -> str:
    return hashlib.sha256(before.encode() + canonical(entry)).hexdigest()


def _settle(folder: Path) -> None:
    """Make a new name in a folder survive a power cut, where the system can do that."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
