"""Backups: one file that holds every row and picture with its digest, good for either database.

A backup is written beside its final name, read back and checked, and only then given that name. It holds the
accounts' password hashes (never running sessions), so it is made readable for its owner alone.
"""

from __future__ import annotations

import hashlib
import json
import os
import struct
import zipfile
import zlib
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from sqlalchemy.exc import DataError, IntegrityError

from forkwright.shop.columns import moment_text
from forkwright.shop.dump import Dump, Progress, Row, check_rows, read_dump, write_dump
from forkwright.shop.engine import is_server
from forkwright.shop.migrate import upgrade, versions
from forkwright.shop.migrations import NEWEST
from forkwright.shop.pictures import keep_bytes, picture_path, read_picture
from forkwright.shop.store import Store
from forkwright.shop.troubles import StoreOutdated, StoreTrouble, plain_words, trouble_of_file
from forkwright.shop.verify import content_problems, verify
from forkwright.units import InputError

KIND = "forkwright shop backup"
ENDING = ".forkwright-backup"
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


def make_backup(store: Store, target: Path, *, progress: Progress | None = None) -> BackupFacts:
    """Write the whole store into one file and prove that it can be read back.

    Raises
    ------
    InputError
        Something already lies at `target`.
    StoreTrouble
        The disk is full or cannot be written.
    """
    if target.exists():
        raise InputError("something lies there already", key="backup", value=str(target))
    with store.look() as session:
        dump = read_dump(session.connection(), accounts=True)
    beside = target.with_name(f".{target.name}.{os.getpid()}.new")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        missed = _write(beside, dump, store, progress)
        facts = check_backup(beside, progress=progress)
        missed += _refused_later(beside)
        os.replace(beside, target)
    except OSError as error:
        raise trouble_of_file(error, target) from error
    finally:
        beside.unlink(missing_ok=True)
    return BackupFacts(str(target), facts.made_at, facts.revision, facts.rows, facts.pictures, missed)


def _refused_later(path: Path) -> tuple[str, ...]:
    """Say why a restore would refuse this backup's rows: better said today than on the day it is needed."""
    with _opened(path) as parts:
        try:
            check_rows(_dump(parts, _manifest(parts, path), path))
        except InputError as error:
            return (f"a restore would refuse it: {error}",)
    return ()


def check_backup(path: Path, *, progress: Progress | None = None) -> BackupFacts:
    """Read a backup through and hold every part against its digest.

    Raises
    ------
    InputError
        Not a backup, or damaged.
    """
    with _opened(path) as parts:
        manifest = _manifest(parts, path)
        names = list(manifest["files"])
        for done, name in enumerate(names):
            if progress is not None:
                progress(done, len(names), "checking the backup")
            _part(parts, name, manifest, path)
        return _facts(manifest, path)


def restore(
    where: str | Path, backup: Path, *, picture_folder: Path | None = None, progress: Progress | None = None
) -> Path | None:
    """Put a backup in the place of the store; returns where the old file was set aside, if there was one.

    A file store is built beside the old one, verified, and then takes its place; the old file is kept. On a
    server the rows are exchanged in one transaction. Nobody may be working with the store meanwhile.

    Raises
    ------
    InputError
        Not a backup, damaged, or from a newer program.
    StoreTrouble
        The disk or server failed; the old store is untouched.
    """
    check_backup(backup, progress=progress)
    with _opened(backup) as parts:
        manifest = _manifest(parts, backup)
        dump = _dump(parts, manifest, backup)
        if is_server(where):
            with Store.open(where, picture_folder=picture_folder) as store:
                _put_pictures(parts, manifest, backup, store.picture_folder)
                load(store, dump, replace=True, progress=progress)
            return None
        path = Path(where)
        folder = picture_folder or path.parent / "pictures"
        fresh = path.with_name(path.name + ".restoring")
        _take_away(fresh)
        with Store.open(fresh, picture_folder=folder) as store:
            _put_pictures(parts, manifest, backup, folder)
            load(store, dump, replace=True, progress=progress)
            found = verify(store)
            serious = [problem for problem in found.problems if problem.kind != "picture"]
            if serious:
                raise StoreTrouble(f"The restored store is not sound: {serious[0].where}: {serious[0].text}.")
        return _change_places(fresh, path)


def load(store: Store, dump: Dump, *, replace: bool, progress: Progress | None = None) -> None:
    """Put a dump's rows into a store in one transaction; they are kept only if they agree with their trail.

    Raises
    ------
    InputError
        The rows do not fit, or do not agree.
    """
    with store.change(actor="") as session:
        try:
            write_dump(session.connection(), dump, replace=replace, progress=progress)
            problems = content_problems(session)
        except (IntegrityError, DataError, ValueError) as error:
            raise InputError(f"a row does not fit: {str(error).splitlines()[0]}", key="import") from error
        if problems:
            raise InputError(f"{problems[0].text} ({len(problems)} problems in all)", key=problems[0].where)


def bring_up_to_date(where: str | Path, *, progress: Progress | None = None) -> tuple[str, str, str | None]:
    """Bring the store's tables up to this program's version, after a backup of it as it is.

    Returns
    -------
    tuple of str, str, str or None
        The version before and after, and the backup made (None when there was nothing to do).

    Raises
    ------
    StoreOutdated
        A newer program made the store.
    """
    with Store.open_any_version(where) as store:
        before = store.revision() or ""
        if before == NEWEST:
            return before, before, None
        if before not in versions():
            raise StoreOutdated(f"{store.address} has tables of version {before}: use the newer program.")
        saved = make_backup(store, backup_folder(where) / backup_name(store), progress=progress)
        with plain_words():
            upgrade(store.engine)
        return before, store.revision() or "", saved.path


def backup_folder(where: str | Path) -> Path:
    """Return the store's own folder for backups (for a server: in the working folder)."""
    return (Path.cwd() if is_server(where) else Path(where).parent) / "backups"


def backups_beside(where: str | Path) -> list[Path]:
    """Return the backups in the store's own folder for them, newest first."""
    found = backup_folder(where).glob(f"*{ENDING}")
    return sorted(found, key=lambda path: path.stat().st_mtime, reverse=True)


def backup_name(store: Store) -> str:
    """Return a name for a backup made now, good for any file system."""
    stamp = moment_text(store.clock()).replace(":", "").replace("-", "").replace(".", "")
    return f"shop-{stamp}{ENDING}"


def _write(target: Path, dump: Dump, store: Store, progress: Progress | None) -> tuple[str, ...]:
    files: dict[str, str] = {}
    missed: list[str] = []
    with (
        os.fdopen(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as raw,
        zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as parts,
    ):

        def put(name: str, data: bytes) -> None:
            files[name] = hashlib.sha256(data).hexdigest()
            parts.writestr(name, data)

        for name, rows in dump.tables.items():
            put(f"tables/{name}.jsonl", _lines(rows))
        digests = sorted({str(row["digest"]) for row in dump.tables.get("photo", ())})
        for done, digest in enumerate(digests):
            if progress is not None:
                progress(done, len(digests), "packing pictures")
            try:
                put(f"pictures/{digest}.jpg", read_picture(store.picture_folder, digest))
            except InputError as error:
                missed.append(f"picture {digest}: {error.message}")
        manifest = {
            "kind": KIND,
            "format": 1,
            "program": version("forkwright"),
            "made_at": moment_text(store.clock()),
            "revision": dump.revision,
            "rows": dump.counts(),
            "files": files,
        }
        parts.writestr("manifest.json", json.dumps(manifest, indent=1))
        parts.close()
        raw.flush()
        os.fsync(raw.fileno())
    return tuple(missed)


def _lines(rows: list[Row]) -> bytes:
    return "".join(json.dumps(row, ensure_ascii=False, allow_nan=False) + "\n" for row in rows).encode()


def _opened(path: Path) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(path)
    except _UNREADABLE as error:
        raise InputError(f"this is no readable backup: {error}", file=str(path)) from error


def _manifest(parts: zipfile.ZipFile, path: Path) -> dict[str, dict[str, str]]:
    try:
        manifest = json.loads(parts.read("manifest.json"))
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
    found: dict[str, dict[str, str]] = manifest
    return found


def _facts(manifest: dict[str, dict[str, str]], path: Path) -> BackupFacts:
    return BackupFacts(
        path=str(path),
        made_at=str(manifest["made_at"]),
        revision=str(manifest["revision"]),
        rows={name: int(count) for name, count in manifest["rows"].items()},
        pictures=sum(name.startswith("pictures/") for name in manifest["files"]),
    )


def _part(parts: zipfile.ZipFile, name: str, manifest: dict[str, dict[str, str]], path: Path) -> bytes:
    try:
        if parts.getinfo(name).file_size > LARGEST_PART:
            raise InputError("a part of the backup is too large", file=str(path), key=name)
        data = parts.read(name)
    except (KeyError, *_UNREADABLE) as error:
        raise InputError("the backup is damaged", file=str(path), key=name) from error
    if hashlib.sha256(data).hexdigest() != manifest["files"][name]:
        raise InputError("the backup is damaged", file=str(path), key=name)
    return data


def _dump(parts: zipfile.ZipFile, manifest: dict[str, dict[str, str]], path: Path) -> Dump:
    tables: dict[str, list[Row]] = {}
    for name in manifest["files"]:
        if name.startswith("tables/"):
            rows = _rows(_part(parts, name, manifest, path), name, path)
            tables[name.removeprefix("tables/").removesuffix(".jsonl")] = rows
    return Dump(revision=str(manifest["revision"]), tables=tables)


def _rows(data: bytes, name: str, path: Path) -> list[Row]:
    try:
        rows = [json.loads(line) for line in data.decode().split("\n") if line]
    except (ValueError, RecursionError) as error:
        raise InputError(f"this is no table: {error}", file=str(path), key=name) from error
    if not all(isinstance(row, dict) for row in rows):
        raise InputError("a line is no row of a table", file=str(path), key=name)
    return rows


def _put_pictures(
    parts: zipfile.ZipFile, manifest: dict[str, dict[str, str]], path: Path, folder: Path
) -> None:
    for name in manifest["files"]:
        if name.startswith("pictures/"):
            digest = name.removeprefix("pictures/").removesuffix(".jpg")
            picture_path(folder, digest)  # refuses any name but a digest
            keep_bytes(_part(parts, name, manifest, path), folder, digest)


def _change_places(fresh: Path, path: Path) -> Path | None:
    if not path.exists():
        _take_away(path)  # left-over logs of a lost file must not be played into the new one
        os.replace(fresh, path)
        return None
    aside = _free_name(path)
    try:
        os.link(path, aside)  # the store's own name is never without a file
    except OSError:
        os.replace(path, aside)
    for ending in ("-wal", "-shm"):
        log = path.with_name(path.name + ending)
        if log.exists():
            os.replace(log, aside.with_name(aside.name + ending))
    os.replace(fresh, path)
    return aside


def _free_name(path: Path) -> Path:
    number = 1
    while (aside := path.with_name(f"{path.name}.replaced-{number}")).exists():
        number += 1
    return aside


def _take_away(path: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        path.with_name(path.name + ending).unlink(missing_ok=True)
