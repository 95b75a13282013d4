"""A backup's file: a manifest and, each with its digest, one part for every table and picture."""

from __future__ import annotations

import hashlib
import json
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from forkwright.shop.dump import Dump, Progress, Row
from forkwright.units import InputError

KIND = "forkwright shop backup"
MANIFEST = "manifest.json"
LARGEST_PART = 2_000_000_000  # bytes, unpacked
# What reading a spoiled archive may raise.
_UNREADABLE = (
    zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError, NotImplementedError, UnicodeDecodeError,
    struct.error,
)  # fmt: skip


@dataclass(frozen=True)
class BackupFacts:
    """What a backup holds: where it lies, when it was made (UTC), rows by table, how many pictures."""

    path: str
    made_at: str
    revision: str
    rows: dict[str, int]
    pictures: int
    warnings: tuple[str, ...] = ()


def check_backup(path: Path, *, progress: Progress | None = None) -> BackupFacts:
    """Read a backup through and hold every part against its digest.

    Raises
    ------
    InputError
        Not a backup, or damaged.
    """
    with BackupFile(path) as file:
        for done, name in enumerate(file.names):
            if progress is not None:
                progress(done, len(file.names), "checking the backup")
            file.part(name)
        return file.facts()


def table_part(name: str) -> str:
    """Return the part that holds a table's rows."""
    return f"tables/{name}.jsonl"


def picture_part(digest: str) -> str:
    """Return the part that holds a picture."""
    return f"pictures/{digest}.jpg"


class BackupFile:
    """A backup open for reading; every part is held against its digest as it is read.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    InputError
        It is no backup, or one of a newer program.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self._parts = zipfile.ZipFile(path)
        except _UNREADABLE as error:
            raise InputError(f"this is no readable backup: {error}", file=str(path)) from error
        try:
            self._manifest = _manifest(self._parts, path)
        except BaseException:
            self._parts.close()
            raise
        self.names: tuple[str, ...] = tuple(self._manifest["files"])

    def facts(self) -> BackupFacts:
        """Return what the manifest says."""
        return BackupFacts(
            path=str(self.path),
            made_at=str(self._manifest["made_at"]),
            revision=str(self._manifest["revision"]),
            rows={name: int(count) for name, count in self._manifest["rows"].items()},
            pictures=sum(name.startswith("pictures/") for name in self.names),
        )

    def part(self, name: str) -> bytes:
        """Return a part's bytes. Raises InputError if they are not what the manifest promises."""
        try:
            if self._parts.getinfo(name).file_size > LARGEST_PART:
                raise InputError("a part of the backup is too large", file=str(self.path), key=name)
            data = self._parts.read(name)
        except (KeyError, *_UNREADABLE) as error:
            raise InputError("the backup is damaged", file=str(self.path), key=name) from error
        if hashlib.sha256(data).hexdigest() != self._manifest["files"][name]:
            raise InputError("the backup is damaged", file=str(self.path), key=name)
        return data

    def dump(self) -> Dump:
        """Return every row."""
        tables = {
            name.removeprefix("tables/").removesuffix(".jsonl"): _rows(self.part(name), name, self.path)
            for name in self.names
            if name.startswith("tables/")
        }
        return Dump(revision=str(self._manifest["revision"]), tables=tables)

    def pictures(self) -> Iterator[tuple[str, bytes]]:
        """Return every picture as (what its name says its digest is, bytes)."""
        for name in self.names:
            if name.startswith("pictures/"):
                yield name.removeprefix("pictures/").removesuffix(".jpg"), self.part(name)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._parts.close()


def _manifest(parts: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    try:
        manifest = json.loads(parts.read(MANIFEST))
        if manifest["kind"] != KIND or manifest["format"] != 1:
            raise InputError("this is no backup of a shop, or one of a newer program", file=str(path))
        (
            str(manifest["revision"]),
            str(manifest["made_at"]),
            [int(count) for count in manifest["rows"].values()],
            [name.lower() + digest.lower() for name, digest in manifest["files"].items()],
        )
    except (KeyError, ValueError, TypeError, AttributeError, OverflowError, *_UNREADABLE) as error:
        raise InputError("this is no readable backup", file=str(path)) from error
    found: dict[str, Any] = manifest
    return found


def _rows(data: bytes, name: str, path: Path) -> list[Row]:
    try:
        rows = [json.loads(line) for line in data.decode().split("\n") if line]
    except (ValueError, RecursionError) as error:
        raise InputError(f"this is no table: {error}", file=str(path), key=name) from error
    if not all(isinstance(row, dict) for row in rows):
        raise InputError("a line is no row of a table", file=str(path), key=name)
    return rows
