"""The store when the machine fails it: killed writers, no room, read-only disks, spoiled pages.

Killing a process proves that nothing hangs on an orderly end. It does not prove what a power cut does: for
that the store relies on SQLite's own full syncing, which `test_shop_store` sees to be on.
"""

from __future__ import annotations

import os
import resource
import signal
import sys
import tempfile
from pathlib import Path

import pytest
from sqlalchemy import select
from tests.shop_faults import check_promises, in_child, kill_rounds, new_shop
from tests.shop_samples import filled_store, picture_bytes

from forkwright.shop.backup import make_backup
from forkwright.shop.export import export_shop
from forkwright.shop.job_book import add_note
from forkwright.shop.pictures import take_in
from forkwright.shop.records_job import Job, Note
from forkwright.shop.register import add_customer
from forkwright.shop.restore import restore
from forkwright.shop.search import search
from forkwright.shop.store import Store
from forkwright.shop.troubles import StoreDamaged, StoreReadOnly, StoreUnreachable
from forkwright.shop.verify import verify

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="forks, limits and users as Linux has them"),
    pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning"),
]
NOBODY = 65534


def test_a_killed_writer_loses_nothing_that_was_promised(tmp_path):
    """Eight kills at random moments: each promised change is there, none is half there, all is sound."""
    assert kill_rounds(tmp_path, 8, seed=1) >= 6


def test_a_full_disk_is_told_and_nothing_promised_is_lost(tmp_path):
    """Under a file-size limit writing ends as `StoreFull`; the promised is there; with room it goes on."""
    path = new_shop(tmp_path)
    promised = tmp_path / "promised"

    def fill_up() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (700_000, resource.RLIM_INFINITY))
        with Store.open(path) as store:
            for number in range(1, 5000):
                if number % 5 and number % 7:
                    words = f"full/{number} " + "y" * 9000
                    with store.change(actor="full") as session:
                        add_note(session, session.scalars(select(Job)).first(), words)
                    with promised.open("a", encoding="utf-8") as out:
                        out.write(words + "\n")

    assert in_child(fill_up).startswith("StoreFull: The disk with the shop's store is full")
    lines = {line.rstrip("\n") for line in promised.read_text(encoding="utf-8").splitlines()}
    assert len(lines) > 5
    check_promises(path, lines)
    with Store.open(path) as store, store.change(actor="after") as session:
        add_customer(session, name="room again")


def test_a_full_disk_leaves_no_half_backup_export_or_picture(tmp_path):
    """Backup, export and picture intake under a tiny limit end as `StoreFull` and leave no file."""
    filled_store(tmp_path / "shop").close()
    before = sorted(tmp_path.rglob("*"))
    for work in (
        lambda store: make_backup(store, tmp_path / "a.forkwright-backup"),
        lambda store: export_shop(store, tmp_path / "out"),
        lambda store: take_in(picture_bytes("red", (1200, 900)), store.picture_folder),
    ):

        def starved(work=work) -> None:
            with Store.open(tmp_path / "shop" / "shop.sqlite3") as store:
                signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
                resource.setrlimit(resource.RLIMIT_FSIZE, (3000, resource.RLIM_INFINITY))
                work(store)

        assert in_child(starved).startswith("StoreFull"), work
        left = [path for path in sorted(tmp_path.rglob("*")) if path not in before and path.is_file()]
        assert [path for path in left if not path.name.startswith("shop.sqlite3-")] == []


def test_a_read_only_disk_can_be_looked_at_but_not_changed(tmp_path):
    """Without the right to write, looking and searching work, and a change says that nothing was saved."""
    filled_store(tmp_path / "shop").close()
    path = tmp_path / "shop" / "shop.sqlite3"
    folder_modes(tmp_path, 0o555, 0o444)

    def look_and_try() -> None:
        with Store.open(path) as store:
            assert store.read_only
            with store.look() as session:
                assert search(session, "odegard")
            assert verify(store).sound
            with pytest.raises(StoreReadOnly, match="Nothing was saved"), store.change(actor="x"):
                pass
        with pytest.raises(StoreReadOnly, match="read-only"):
            Store.open(path.with_name("another.sqlite3"))

    try:
        assert in_child(look_and_try, user=NOBODY if os.geteuid() == 0 else None) == ""
    finally:
        folder_modes(tmp_path, 0o755, 0o644)


def test_a_read_only_disk_with_unfinished_changes_is_not_read_wrongly(tmp_path):
    """A log that cannot be played in would hide promised changes: the store says so instead of opening."""
    path = new_shop(tmp_path)

    def crash() -> None:
        store = Store.open(path)
        with store.look() as session:
            session.scalars(select(Note)).all()  # keeps the log from being taken up at the other's end
            with store.change(actor="x") as other:
                add_customer(other, name="only in the log")
            os.kill(os.getpid(), signal.SIGKILL)

    in_child(crash)
    assert path.with_name("shop.sqlite3-wal").stat().st_size > 0
    folder_modes(tmp_path, 0o555, 0o444)

    def try_to_look() -> None:
        with pytest.raises(StoreUnreachable, match="Copy the whole folder"):
            Store.open(path)

    try:
        assert in_child(try_to_look, user=NOBODY if os.geteuid() == 0 else None) == ""
    finally:
        folder_modes(tmp_path, 0o755, 0o644)
    with Store.open(path) as store, store.look() as session:
        assert search(session, "only in the log")


def test_spoiled_pages_are_found_and_a_backup_takes_their_place(tmp_path):
    """Overwritten pages show as damage, with the advice to restore; restoring brings everything back."""
    with filled_store(tmp_path) as store:
        make_backup(store, tmp_path / "backups" / "a.forkwright-backup")
    path = tmp_path / "shop.sqlite3"
    data = bytearray(path.read_bytes())
    for page in range(2, len(data) // 4096):
        data[page * 4096 : page * 4096 + 64] = b"\xa5" * 64
    path.write_bytes(data)
    with pytest.raises(StoreDamaged, match="forkwright shop restore"):
        Store.open(path)
    with Store.open_any_version(path) as store:
        found = verify(store)
        assert not found.sound
        assert "damaged" in {problem.kind for problem in found.problems}
        with pytest.raises(StoreDamaged, match="forkwright shop restore"), store.look() as session:
            search(session, "odegard")
    restore(path, tmp_path / "backups" / "a.forkwright-backup")
    with Store.open(path) as store:
        assert verify(store).sound
        with store.look() as session:
            assert search(session, "odegard")


def test_single_flipped_bytes_never_pass_unnoticed_in_a_record(tmp_path):
    """Flip one letter of a bike's name inside the file: the pages still make sense, yet verify finds it."""
    filled_store(tmp_path).close()
    path = tmp_path / "shop.sqlite3"
    data = path.read_bytes()
    name = b"Moorland 29"
    places = [place for place in range(len(data)) if data.startswith(name, place)]
    assert len(places) >= 2  # the row and its audit entry
    for place in places:
        path.write_bytes(data[:place] + b"N" + data[place + 1 :])
        with Store.open(path) as store:
            found = verify(store)
        assert {problem.kind for problem in found.problems} & {"row", "audit trail"}, place


def folder_modes(folder, folders: int, files: int) -> None:
    """Set the rights of everything under a folder, and let others pass the folders above it."""
    for path in folder.rglob("*"):
        path.chmod(folders if path.is_dir() else files)
    folder.chmod(folders)
    for above in folder.parents:
        if above == Path(tempfile.gettempdir()):
            break
        above.chmod(0o755)
