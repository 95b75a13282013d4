"""Everything out of the store in open formats, and back in, identical."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from forkwright.shop.dump import Dump, Progress, read_dump
from forkwright.shop.formats import NAMES, read_format, write_format
from forkwright.shop.loading import load
from forkwright.shop.pictures import keep_bytes, picture_path, read_picture
from forkwright.shop.store import Store
from forkwright.shop.troubles import trouble_of_file
from forkwright.units import InputError

FORMATS = tuple(NAMES)


@dataclass(frozen=True)
class ExportFacts:
    """What was exported: folder, one file per format, rows by table, pictures, and what was left out."""

    folder: str
    files: tuple[str, ...]
    rows: dict[str, int]
    pictures: int
    warnings: tuple[str, ...]


def export_shop(
    store: Store,
    folder: Path,
    *,
    formats: tuple[str, ...] = FORMATS,
    accounts: bool = False,
    progress: Progress | None = None,
) -> ExportFacts:
    """Write everything into a new folder: every format holds all rows; pictures and unit files lie beside.

    Parameters
    ----------
    formats : tuple of str
        Of "json", "toml", "csv", "xlsx".
    accounts : bool
        Take along accounts with their password hashes, and the sign-ins.

    Raises
    ------
    InputError
        Unknown format, or something already lies there.
    StoreTrouble
        The disk is full or cannot be written.
    """
    for name in formats:
        if name not in NAMES:
            raise InputError("unknown format", key="format", value=name, allowed=", ".join(NAMES))
    if folder.exists():
        raise InputError("something lies there already", key="folder", value=str(folder))
    with store.look() as session:
        dump = read_dump(session.connection(), accounts=accounts)
    beside = folder.with_name(f".{folder.name}.{os.getpid()}.new")
    try:
        beside.mkdir(parents=True)
        for done, name in enumerate(formats):
            if progress is not None:
                progress(done, len(formats), f"writing {name}")
            write_format(name, dump, beside)
        _write_unit_files(dump, beside / "units")
        pictures, missed = _copy_pictures(dump, store, beside / "pictures", progress)
        os.replace(beside, folder)
    except OSError as error:
        raise trouble_of_file(error, folder) from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    left_out = () if accounts else ("accounts and sign-ins are not in this export",)
    return ExportFacts(
        folder=str(folder),
        files=tuple(str(folder / NAMES[name]) for name in formats),
        rows=dump.counts(),
        pictures=pictures,
        warnings=(*left_out, *missed),
    )


def import_shop(
    store: Store, source: Path, *, replace: bool = False, progress: Progress | None = None
) -> dict[str, int]:
    """Read an export back and return the rows by table.

    Parameters
    ----------
    source : Path
        The export's folder, or one of its formats (``shop.json``, ``shop.toml``, ``shop.xlsx``, ``csv``).
        Pictures are taken from the ``pictures`` folder beside it.
    replace : bool
        Take away what the store holds first; without it the store must be empty.

    Raises
    ------
    InputError
        It cannot be read, does not fit, or does not agree with its audit trail; the store stays as it was.
    """
    file = _best_file(source)
    dump = read_format(file)
    _take_pictures(dump, file.parent / "pictures", store)
    load(store, dump, replace=replace, progress=progress)
    return dump.counts()


def _best_file(source: Path) -> Path:
    if source.is_dir() and not (source / "about.json").exists():
        for name in NAMES.values():
            if (source / name).exists():
                return source / name
        raise InputError("this folder holds no export", file=str(source))
    return source


def _write_unit_files(dump: Dump, folder: Path) -> None:
    """Lay every version of every unit's file down as a file of its own, for the other commands."""
    folder.mkdir()
    for row in dump.tables.get("unit_version", ()):
        name = f"{row['unit_id']}-version-{row['ordinal']}.toml"
        (folder / name).write_text(str(row["file_text"]), encoding="utf-8", newline="\n")


def _copy_pictures(
    dump: Dump, store: Store, folder: Path, progress: Progress | None
) -> tuple[int, tuple[str, ...]]:
    folder.mkdir()
    missed: list[str] = []
    digests = sorted({str(row["digest"]) for row in dump.tables.get("photo", ())})
    for done, digest in enumerate(digests):
        if progress is not None:
            progress(done, len(digests), "copying pictures")
        try:
            data = read_picture(store.picture_folder, digest)
        except InputError as error:
            missed.append(f"picture {digest}: {error.message}")
            continue
        keep_bytes(data, folder, digest)
    return len(digests) - len(missed), tuple(missed)


def _take_pictures(dump: Dump, folder: Path, store: Store) -> None:
    for row in dump.tables.get("photo", ()):
        digest = str(row.get("digest"))
        path = picture_path(folder, digest)
        if path.exists():
            keep_bytes(path.read_bytes(), store.picture_folder, digest)
