"""A backup takes the place of the store; what was there is kept."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from forkwright.shop.backup_file import BackupFile, check_backup
from forkwright.shop.dump import Progress
from forkwright.shop.engine import is_server
from forkwright.shop.loading import load, refusal_of
from forkwright.shop.pictures import keep_bytes, picture_path
from forkwright.shop.store import Store
from forkwright.shop.troubles import StoreTrouble
from forkwright.shop.verify import verify
from forkwright.units import InputError


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
    with BackupFile(backup) as file:
        dump = file.dump()
        if is_server(where):
            with Store.open(where, picture_folder=picture_folder) as store:
                _put_pictures(file, store.picture_folder)
                load(store, dump, replace=True, progress=progress)
            return None
        path = Path(where)
        folder = picture_folder or path.parent / "pictures"
        fresh = path.with_name(path.name + ".restoring")
        _take_away(fresh)
        with Store.open(fresh, picture_folder=folder) as store:
            _put_pictures(file, folder)
            load(store, dump, replace=True, progress=progress)
            found = verify(store)
            serious = [problem for problem in found.problems if problem.kind != "picture"]
            if serious:
                raise StoreTrouble(f"The restored store is not sound: {serious[0].where}: {serious[0].text}.")
        return _change_places(fresh, path)


def first_taken(backups: Sequence[Path]) -> tuple[Path | None, tuple[str, ...]]:
    """Return the first of some backups that `restore` would take, and why it would refuse those before it."""
    refused: list[str] = []
    for path in backups:
        try:
            with BackupFile(path) as file:
                why = refusal_of(file.dump())
        except InputError as error:
            why = f"a restore would refuse it: {error.message}"
        if not why:
            return path, tuple(refused)
        refused.append(f"{path}: {why}")
    return None, tuple(refused)


def _put_pictures(file: BackupFile, folder: Path) -> None:
    for digest, data in file.pictures():
        picture_path(folder, digest)  # refuses any name but a digest
        keep_bytes(data, folder, digest)


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
