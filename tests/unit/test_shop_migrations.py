"""The tables' versions: every one that was ever out comes up to the newest, with all its rows.

The files ``tests/data/shop-tables-*.sql`` are frozen: one is added with each new version, none is changed.
"""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from forkwright.shop.backup import bring_up_to_date
from forkwright.shop.backup_file import check_backup
from forkwright.shop.dump import read_dump
from forkwright.shop.migrate import FOLDER, versions
from forkwright.shop.migrations import NEWEST
from forkwright.shop.restore import restore
from forkwright.shop.store import Store
from forkwright.shop.tables import metadata
from forkwright.shop.troubles import StoreOutdated
from forkwright.shop.verify import verify

FROZEN = {
    re.search(r"(\d{4})\.sql$", path.name).group(1): path
    for path in sorted((Path(__file__).parents[1] / "data").glob("shop-tables-*.sql"))
}


def thawed(version: str, folder: Path) -> Path:
    path = folder / "shop.sqlite3"
    connection = sqlite3.connect(path)
    connection.executescript(FROZEN[version].read_text(encoding="utf-8"))
    connection.close()
    return path


def rows_of(path: Path) -> dict[str, list[dict]]:
    with Store.open_any_version(path) as store, store.look() as session:
        return read_dump(session.connection(), accounts=True).tables


def test_every_version_is_frozen_and_the_newest_is_named():
    """Each migration step has a frozen file, and the constant names the last step."""
    assert versions() == sorted(FROZEN)
    assert versions()[-1] == NEWEST


@pytest.mark.parametrize("version", sorted(FROZEN))
def test_a_store_of_every_version_comes_up_with_all_its_rows(tmp_path, version):
    """After the upgrade the tables are this program's, no row is lost, and a backup is there."""
    path = thawed(version, tmp_path)
    before = rows_of(path)
    assert sum(map(len, before.values())) > 60
    if version != NEWEST:
        with pytest.raises(StoreOutdated, match="forkwright shop migrate"):
            Store.open(path)
    found, after, saved = bring_up_to_date(path)
    assert (found, after) == (version, NEWEST)
    assert (saved is None) == (version == NEWEST)
    with Store.open(path) as store:
        with store.engine.connect() as connection:
            context = MigrationContext.configure(connection, opts={"compare_type": True})
            assert compare_metadata(context, metadata()) == []
        assert verify_without_pictures(store) == []
    now = rows_of(path)
    for name, rows in before.items():
        assert [{key: new[key] for key in old} for old, new in zip(rows, now[name], strict=True)] == rows, (
            name
        )
    if saved:
        assert check_backup(Path(saved)).revision == version


def test_a_backup_of_an_older_version_can_be_restored(tmp_path):
    """The rows of a backup from before an upgrade come up on their way in."""
    path = thawed("0001", tmp_path)
    _, _, saved = bring_up_to_date(path)
    target = tmp_path / "other" / "shop.sqlite3"
    target.parent.mkdir()
    assert restore(target, Path(saved)) is None
    assert rows_of(target) == rows_of(path)


def test_an_upgrade_that_fails_half_way_leaves_the_old_tables(tmp_path, monkeypatch):
    """All steps share one transaction: an error in the last step takes back all of them."""
    path = thawed("0001", tmp_path)
    step = FOLDER / "versions" / "0002_accounts.py"
    broken = tmp_path / "migrations"
    (broken / "versions").mkdir(parents=True)
    for source in (FOLDER / "env.py", FOLDER / "script.py.mako", FOLDER / "versions" / "0001_book.py"):
        (broken / source.relative_to(FOLDER)).write_text(source.read_text(encoding="utf-8"), encoding="utf-8")
    text = step.read_text(encoding="utf-8").rstrip() + '\n    raise RuntimeError("power cut")\n'
    (broken / "versions" / "0002_accounts.py").write_text(text, encoding="utf-8")
    monkeypatch.setattr("forkwright.shop.migrate.FOLDER", broken)
    with pytest.raises(RuntimeError, match="power cut"):
        bring_up_to_date(path)
    with sqlite3.connect(path) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    connection.close()
    assert "account" not in tables


def verify_without_pictures(store: Store) -> list:
    return [problem for problem in verify(store).problems if problem.kind != "picture"]
