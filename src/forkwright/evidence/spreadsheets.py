"""Spreadsheets, opened with the caution that packed files need."""

from __future__ import annotations

import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from forkwright.evidence.broken_files import broken
from forkwright.evidence.limits import DEFAULT_LIMITS, Limits
from forkwright.evidence.textfiles import Columns, read_rows
from forkwright.units import InputError

_CHUNK = 1 << 20
# What the packing library raises at a damaged file; a part's name that is no text is not caught by itself.
_UNREADABLE = (
    zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError, UnicodeDecodeError,
    struct.error,
)  # fmt: skip
_DAMAGED = "the spreadsheet is damaged"
_MOST_PARTS = 10_000
_TOLD_EVERY = 5000  # rows
_ENTITY = re.compile(rb"<!(DOCTYPE|ENTITY)", re.I)


def read_spreadsheet(
    path: Path,
    sheet: str | None = None,
    limits: Limits = DEFAULT_LIMITS,
    progress: Callable[[float], None] | None = None,
) -> tuple[Columns, tuple[str, ...]]:
    """Read one sheet of an XLSX file; formulas count with the value last stored for them.

    Parameters
    ----------
    path : Path
        The file.
    sheet : str, optional
        Name of the sheet; the first by default.
    limits : Limits
        Upper bounds; bytes once unpacked, and values.
    progress : callable, optional
        Told the share read, 0 to 1, as far as the sheet's length can be known; may raise to stop.

    Raises
    ------
    InputError
        If the file is damaged, unpacks to more than the limits allow, or has no such sheet.
    """
    check_package(path, limits)
    import openpyxl

    with path.open("rb") as file:  # a file, not its name: the library goes by endings
        try:
            book = openpyxl.load_workbook(file, read_only=True, data_only=True, keep_links=False)
        except Exception as fault:  # the library raises whatever the damaged part makes it raise
            raise broken(path, _DAMAGED, fault) from None
        try:
            if sheet is not None and sheet not in book.sheetnames:
                raise InputError(
                    "there is no such sheet", file=str(path), value=sheet, allowed=", ".join(book.sheetnames)
                )
            page = book[sheet] if sheet is not None else book.worksheets[0]
            page.reset_dimensions()
            rows = _rows(page, path, limits, progress)
        except _Stopped as stop:
            raise stop.reason from None
        except InputError:
            raise
        except Exception as fault:
            raise broken(path, _DAMAGED, fault) from None
        finally:
            book.close()
    return read_rows(path, rows)


def sheet_names(path: Path, limits: Limits = DEFAULT_LIMITS) -> tuple[str, ...]:
    """Return the names of a file's sheets, in order; nothing for a file that is no spreadsheet."""
    with path.open("rb") as file:
        if file.read(2) != b"PK":
            return ()
    check_package(path, limits)
    import openpyxl

    with path.open("rb") as file:
        try:
            book = openpyxl.load_workbook(file, read_only=True, keep_links=False)
        except Exception as fault:
            raise broken(path, _DAMAGED, fault) from None
        names = tuple(str(name) for name in book.sheetnames)
        book.close()
    return names


def check_package(path: Path, limits: Limits = DEFAULT_LIMITS) -> None:
    """Refuse a packed file that unpacks to far more than it is, declares absurd sizes, or defines entities.

    Every part is unpacked once, piece by piece and never kept, so that the check does not trust what the
    package says about itself.
    """
    try:
        with zipfile.ZipFile(path) as package:
            parts = package.infolist()
            declared = sum(p.file_size for p in parts)
            if declared > limits.file_bytes or len(parts) > _MOST_PARTS:
                raise InputError(
                    "the file declares more content than can be held",
                    file=str(path),
                    value=f"{declared} bytes in {len(parts)} parts",
                    allowed=f"up to {limits.file_bytes} bytes in {_MOST_PARTS} parts",
                )
            for part in parts:
                _refuse_bomb(part, path, limits)
            for part in parts:
                _check_part(package, part, path)
    except _UNREADABLE as fault:
        raise broken(path, "this is no spreadsheet, or it is cut short", fault) from None


def _refuse_bomb(part: zipfile.ZipInfo, path: Path, limits: Limits) -> None:
    if part.file_size > 1_000_000 and part.file_size > limits.packing * max(part.compress_size, 1):
        raise InputError(
            "a part of the file unpacks to far more than a spreadsheet does; it was not opened",
            file=str(path),
            key=part.filename,
            value=f"{part.file_size} bytes from {part.compress_size}",
            allowed=f"up to {limits.packing:g} times",
        )


def _check_part(package: zipfile.ZipFile, part: zipfile.ZipInfo, path: Path) -> None:
    is_xml = part.filename.lower().endswith((".xml", ".rels"))
    carried = b""
    try:
        with package.open(part) as stream:
            while piece := stream.read(_CHUNK):
                if is_xml and _ENTITY.search(carried + piece):
                    raise InputError(
                        "the file defines XML entities, which no spreadsheet needs; it was not opened",
                        file=str(path),
                        key=part.filename,
                    )
                carried = piece[-16:]
    except zlib.error as fault:
        raise broken(path, "a part of the file is damaged", fault, part.filename) from None


class _Stopped(Exception):  # noqa: N818 - no fault: it carries the caller's own
    """The one who is told the progress has raised: what it raised is passed on as it is."""

    def __init__(self, reason: Exception) -> None:
        super().__init__(str(reason))
        self.reason = reason


def _rows(page: Any, path: Path, limits: Limits, progress: Callable[[float], None] | None) -> list[list[Any]]:
    rows: list[list[Any]] = []
    values = blank = 0
    for row in page.iter_rows(values_only=True):
        if progress is not None and len(rows) % _TOLD_EVERY == 0:
            try:
                progress(len(rows) / (len(rows) + 20 * _TOLD_EVERY))
            except Exception as reason:
                raise _Stopped(reason) from None
        values += max(len(row), 1)
        if len(row) > 16_384:
            raise InputError("too many columns in the sheet", file=str(path), line=len(rows) + 1)
        blank = blank + 1 if not any(c is not None for c in row) else 0
        if values > limits.sheet_values or len(rows) > 1_100_000 or blank > 100_000:
            raise InputError(
                "the sheet holds more cells than can be read; save it as CSV",
                file=str(path),
                line=len(rows) + 1,
                allowed=f"up to {limits.sheet_values} cells",
            )
        rows.append(list(row))
    while rows and not any(c is not None for c in rows[-1]):
        rows.pop()
    return rows
