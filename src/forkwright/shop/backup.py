"""Backups: one file that holds every row and picture with its digest, good for either database.

A backup is written beside its final name, read back and checked, and only then given that name. It holds the
accounts' password hashes (never running sessions), so it is made readable for its owner alone.
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path

from forkwright.shop.backup_file import (
    KIND,
    MANIFEST,
    BackupFacts,
    BackupFile,
    check_backup,
    picture_part,
    table_part,
)
from forkwright.shop.columns import moment_text
from forkwright.shop.dump import Dump, Progress, Row, read_dump
from forkwright.shop.engine import is_server
from forkwright.shop.loading import refusal_of
from forkwright.shop.migrate import upgrade, versions
from forkwright.shop.migrations import NEWEST
from forkwright.shop.pictures import read_picture
from forkwright.shop.store import Store
from forkwright.shop.troubles import StoreOutdated, plain_words, trouble_of_file
from forkwright.units import InputError

ENDING = ".forkwright-backup"


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
        with BackupFile(beside) as file:
            refused = refusal_of(file.dump(), progress=progress)
        os.replace(beside, target)
    except OSError as error:
        raise trouble_of_file(error, target) from error
    finally:
        beside.unlink(missing_ok=True)
    warnings = (*missed, refused) if refused else missed
    return replace(facts, path=str(target), warnings=warnings)


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
            put(table_part(name), _lines(rows))
        digests = sorted({str(row["digest"]) for row in dump.tables.get("photo", ())})
        for done, digest in enumerate(digests):
            if progress is not None:
                progress(done, len(digests), "packing pictures")
            try:
                put(picture_part(digest), read_picture(store.picture_folder, digest))
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
        parts.writestr(MANIFEST, json.dumps(manifest, indent=1))
        parts.close()
        raw.flush()
        os.fsync(raw.fileno())
    return tuple(missed)


def _lines(rows: list[Row]) -> bytes:
    return "".join(json.dumps(row, ensure_ascii=False, allow_nan=False) + "\n" for row in rows).encode()
