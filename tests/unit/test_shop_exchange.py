"""Backup, restore, export, import and verify: everything out, everything back, and damage is noticed."""

from __future__ import annotations

import csv
import json
import unicodedata
import zipfile

import openpyxl
import polars as pl
import pytest
from sqlalchemy import select, text
from tests.shop_samples import FORMULA, HARD_TEXTS, filled_store

from forkwright.shop.backup import backups_beside, make_backup
from forkwright.shop.backup_file import check_backup
from forkwright.shop.dump import read_dump
from forkwright.shop.export import FORMATS, export_shop, import_shop
from forkwright.shop.history import entries_of, entry_digest
from forkwright.shop.pictures import picture_path
from forkwright.shop.records import Customer
from forkwright.shop.restore import first_taken, restore
from forkwright.shop.store import Store
from forkwright.shop.verify import verify
from forkwright.units import InputError


def rows_of(store, *, accounts=False):
    with store.look() as session:
        return read_dump(session.connection(), accounts=accounts).tables


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    with filled_store(tmp_path_factory.mktemp("shop")) as store:
        yield store


@pytest.fixture(scope="module")
def exported(sample, tmp_path_factory):
    folder = tmp_path_factory.mktemp("export") / "out"
    return folder, export_shop(sample, folder)


@pytest.mark.parametrize("name", FORMATS)
def test_each_format_alone_brings_everything_back_identical(sample, exported, tmp_path, name):
    """Every row, hard text, number and picture of the sample comes back from each of the four formats."""
    folder, facts = exported
    with Store.open(tmp_path / "new.sqlite3") as store:
        counts = import_shop(store, folder / {"csv": "csv"}.get(name, f"shop.{name}"))
        assert counts == facts.rows
        assert rows_of(store) == rows_of(sample)
        found = verify(store)
        assert found.sound, found.problems
        assert found.pictures == 1


def test_a_second_export_is_the_same_text(exported, tmp_path):
    """Import and export again: every format is byte for byte the same."""
    folder, _ = exported
    with Store.open(tmp_path / "new.sqlite3") as store:
        import_shop(store, folder)
        export_shop(store, tmp_path / "again", formats=("json", "toml", "csv", "xlsx"))
    for path in [*folder.glob("shop.*"), *(folder / "csv").iterdir()]:
        assert path.read_bytes() == (tmp_path / "again" / path.relative_to(folder)).read_bytes(), path.name


def test_accounts_come_along_only_when_asked_for(sample, exported, tmp_path):
    """The plain export names what is left out and holds no password hash; the other brings accounts back."""
    folder, facts = exported
    assert any("accounts" in warning for warning in facts.warnings)
    assert "argon2" not in (folder / "shop.json").read_text(encoding="utf-8")
    export_shop(sample, tmp_path / "all", formats=("xlsx",), accounts=True)
    with Store.open(tmp_path / "new.sqlite3") as store:
        import_shop(store, tmp_path / "all")
        assert rows_of(store, accounts=True) == rows_of(sample, accounts=True)


def test_no_cell_of_the_tables_is_a_formula(exported):
    """No cell of csv or xlsx begins or is a formula."""
    folder, _ = exported
    seen = 0
    for path in (folder / "csv").glob("*.csv"):
        with path.open(encoding="utf-8-sig", newline="") as lines:
            for row in csv.reader(lines):
                for cell in row:
                    seen += FORMULA in cell
                    harmless = not cell or cell[0] not in "=+-@\t\r\n＝＋－＠" or is_number(cell)
                    assert harmless, (path.name, cell)
    assert seen >= 2
    book = openpyxl.load_workbook(folder / "shop.xlsx")
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type in "nsb", (sheet.title, cell.coordinate)
                assert cell.hyperlink is None
                assert not str(cell.value).startswith(("=", "+", "@", "-"))
    with zipfile.ZipFile(folder / "shop.xlsx") as parts:
        assert not any(b"<f>" in parts.read(name) for name in parts.namelist() if "sheet" in name)


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_another_reader_finds_the_same_tables(sample, exported):
    """A table library reads the csv: as many rows, and the texts with one guard taken off."""
    folder, _ = exported
    for name, rows in rows_of(sample).items():
        frame = pl.read_csv(folder / "csv" / f"{name}.csv", infer_schema=False)
        assert frame.height == len(rows), name
    texts = pl.read_csv(folder / "csv" / "note.csv", infer_schema=False)["text"].to_list()
    assert {text.removeprefix("'") for text in texts} >= {text.strip() for text in HARD_TEXTS}


def test_unit_files_and_pictures_lie_beside_the_tables(exported, sample):
    """Each version of a unit's file is a readable file of its own."""
    folder, facts = exported
    texts = {path.read_text(encoding="utf-8") for path in (folder / "units").iterdir()}
    assert texts == {row["file_text"] for row in rows_of(sample)["unit_version"]}
    assert facts.pictures == len(list((folder / "pictures").rglob("*.jpg"))) == 1


def test_an_import_never_mixes_with_what_is_there(sample, exported):
    """A store that is not empty refuses, and keeps every row."""
    before = rows_of(sample)
    with pytest.raises(InputError, match="not empty"):
        import_shop(sample, exported[0])
    assert rows_of(sample) == before


SPOILED = {
    "another kind": lambda content: content.update(kind="shopping list"),
    "newer format": lambda content: content.update(format=2),
    "unknown revision": lambda content: content.update(revision="7777"),
    "no tables": lambda content: content.update(tables=[]),
    "unknown table": lambda content: content["tables"].update(secrets=[]),
    "sessions smuggled in": lambda content: content["tables"].update(signed_in=[]),
    "missing column": lambda content: content["tables"]["customer"][0].pop("name"),
    "unknown column": lambda content: content["tables"]["customer"][0].update(shoe="43"),
    "wrong type": lambda content: content["tables"]["job"][0].update(number="1"),
    "empty where it must not be": lambda content: content["tables"]["job"][0].update(stage=None),
    "number too large": lambda content: content["tables"]["job"][0].update(number=2**70),
    "not a number": lambda content: content["tables"]["job"][0].update(riding_hours=float("nan")),
    "forbidden character": lambda content: content["tables"]["customer"][0].update(name="a\x00b"),
    "unknown stage": lambda content: content["tables"]["job"][0].update(stage="lost"),
    "points nowhere": lambda content: content["tables"]["job"][0].update(unit_id="0" * 32),
    "twice the same": lambda content: content["tables"]["note"].append(content["tables"]["note"][0]),
    "bad stamp": lambda content: content["tables"]["customer"][0].update(created_at="yesterday"),
    "row changed": lambda content: content["tables"]["customer"][0].update(phone="changed"),
    "row gone": lambda content: content["tables"]["note"].pop(),
    "row invented": lambda content: content["tables"]["note"].append(
        {**content["tables"]["note"][0], "id": "f" * 32}
    ),
    "trail changed": lambda content: content["tables"]["history"][0].update(actor="someone else"),
    "file changed": lambda content: content["tables"]["unit_version"][0].update(digest="0" * 64),
}


@pytest.mark.parametrize("fault", SPOILED)
def test_a_spoiled_export_is_refused_and_leaves_the_store_empty(exported, tmp_path, fault):
    """Whatever is wrong is told as input, with no row kept."""
    content = json.loads((exported[0] / "shop.json").read_text(encoding="utf-8"))
    SPOILED[fault](content)
    spoiled = tmp_path / "shop.json"
    spoiled.write_text(json.dumps(content), encoding="utf-8")
    with Store.open(tmp_path / "new.sqlite3") as store:
        with pytest.raises(InputError):
            import_shop(store, spoiled)
        assert not any(rows for name, rows in rows_of(store).items() if name != "counter")


@pytest.mark.parametrize("name", ["shop.json", "shop.toml", "shop.xlsx", "shop.zip", "csv"])
def test_files_that_are_no_export_are_named(tmp_path, name):
    """Nonsense in each format, a wrong ending and an empty folder."""
    path = tmp_path / name
    if name == "csv":
        path.mkdir()
        (path / "about.json").write_text("{", encoding="utf-8")
    else:
        path.write_bytes(b"\xff\xfenonsense")
    with Store.open(tmp_path / "new.sqlite3") as store, pytest.raises(InputError, match=name):
        import_shop(store, path)


def test_a_backup_restores_everything_with_accounts_and_pictures(sample, tmp_path):
    """Rows, accounts and the picture come back in a fresh place; running sessions do not."""
    facts = make_backup(sample, tmp_path / "a.forkwright-backup")
    assert facts == check_backup(tmp_path / "a.forkwright-backup")
    assert (tmp_path / "a.forkwright-backup").stat().st_mode & 0o077 == 0
    new = tmp_path / "new" / "shop.sqlite3"
    new.parent.mkdir()
    assert restore(new, tmp_path / "a.forkwright-backup") is None
    with Store.open(new) as store:
        assert rows_of(store, accounts=True) == rows_of(sample, accounts=True)
        assert verify(store).sound


def test_a_restore_sets_the_old_store_aside(tmp_path):
    """What was written after the backup is gone from the store, and still in the file set aside."""
    with filled_store(tmp_path) as store:
        make_backup(store, tmp_path / "backups" / "a.forkwright-backup")
        with store.change(actor="x") as session:
            session.add(Customer(name="After the backup"))
    path = tmp_path / "shop.sqlite3"
    assert backups_beside(path) == [tmp_path / "backups" / "a.forkwright-backup"]
    aside = restore(path, tmp_path / "backups" / "a.forkwright-backup")
    names = []
    for each in (path, aside):
        with Store.open(each) as store:
            names.append([row["name"] for row in rows_of(store)["customer"]])
    assert names == [["Zoë Ødegård"], ["Zoë Ødegård", "After the backup"]] or names == [
        ["Zoë Ødegård"],
        ["After the backup", "Zoë Ødegård"],
    ]


def test_any_flipped_byte_in_a_backup_is_noticed_or_harmless(sample, tmp_path):
    """Flip bytes all over the file: reading through either names it as damaged or finds all parts whole."""
    good = tmp_path / "good.forkwright-backup"
    facts = make_backup(sample, good)
    data = good.read_bytes()
    noticed = 0
    for place in range(0, len(data), max(1, len(data) // 120)):
        spoiled = tmp_path / "bad.forkwright-backup"
        spoiled.write_bytes(data[:place] + bytes([data[place] ^ 0x55]) + data[place + 1 :])
        try:
            assert check_backup(spoiled).rows == facts.rows
        except InputError:
            noticed += 1
    assert noticed > 100


def test_a_backup_goes_over_nothing(sample, tmp_path):
    """An existing file is not replaced."""
    (tmp_path / "mine").write_text("keep", encoding="utf-8")
    with pytest.raises(InputError, match="already"):
        make_backup(sample, tmp_path / "mine")
    assert (tmp_path / "mine").read_text(encoding="utf-8") == "keep"


def test_a_backup_that_a_restore_would_refuse_is_told_at_once(tmp_path):
    """Rows that no restore takes are a warning of the backup, not a surprise on the day it is needed."""
    with filled_store(tmp_path) as store:
        assert make_backup(store, tmp_path / "good.forkwright-backup").warnings == ()
        with store.engine.begin() as connection:
            connection.exec_driver_sql("UPDATE customer SET phone = 'e\u0301'")
        warnings = make_backup(store, tmp_path / "a.forkwright-backup").warnings
    assert any("a restore would refuse it: customer: row 1" in each for each in warnings), warnings


def test_verify_tells_the_rows_that_a_restore_would_refuse(tmp_path):
    """Text that agrees with its trail but that no restore takes is a finding, and so is a backup with it."""
    backup = tmp_path / "a.forkwright-backup"
    with filled_store(tmp_path) as store:
        with store.change(actor="x") as session:
            keep_taken_apart(session, session.scalars(select(Customer)).one())
        found = verify(store)
        assert [each.kind for each in found.problems] == ["row"], found.problems
        told = found.problems[0]
        (warning,) = make_backup(store, backup).warnings
    with pytest.raises(InputError) as refused:
        restore(tmp_path / "new.sqlite3", backup)
    why = str(refused.value)
    assert warning == f"a restore would refuse it: {why}"
    assert f"{told.where}: {told.text}" == f"customer: a restore would refuse it: {refused.value.message}"
    assert first_taken([backup]) == (None, (f"{backup}: {warning}",))
    with filled_store(tmp_path / "sound") as store:
        make_backup(store, tmp_path / "sound.forkwright-backup")
    sound = tmp_path / "sound.forkwright-backup"
    assert first_taken([backup, sound])[0] == sound


def keep_taken_apart(session, customer):
    """Write a customer's text and its trail as a book of earlier days could hold it: letters taken apart."""
    entry = entries_of(session, customer.id)[-1]
    apart = unicodedata.normalize("NFD", customer.name)
    assert apart != customer.name
    entry.state = json.dumps(json.loads(entry.state) | {"name": apart}, ensure_ascii=False)
    entry.digest = entry_digest(entry)
    session.connection().execute(
        text("UPDATE customer SET name = :name WHERE id = :id"), {"name": apart, "id": customer.id}
    )


def test_a_lost_picture_is_told_and_does_not_stop_the_backup(tmp_path):
    """Verify names the picture; the backup holds the rest and says what it missed."""
    with filled_store(tmp_path) as store:
        digest = rows_of(store)["photo"][0]["digest"]
        picture_path(store.picture_folder, digest).unlink()
        assert [(each.kind, each.where) for each in verify(store).problems] == [("picture", digest)]
        assert digest in make_backup(store, tmp_path / "a.forkwright-backup").warnings[0]


@pytest.mark.parametrize(
    ("statement", "kind"),
    [
        ("UPDATE customer SET phone = '999'", "row"),
        ("DELETE FROM photo", "row"),
        ("UPDATE history SET actor = 'nobody' WHERE seq = 1", "audit trail"),
        ("UPDATE unit_version SET file_text = file_text || ' '", "unit file"),
        ("UPDATE counter SET value = 1", "row"),
        ("UPDATE job SET unit_id = 'nothing'", "row"),
    ],
)
def test_a_change_behind_the_programs_back_is_found(tmp_path, statement, kind):
    """Rows edited in the file by hand no longer agree with the trail or their digest."""
    with filled_store(tmp_path) as store:
        assert verify(store).sound
        with store.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
        raw = store.engine.raw_connection()
        raw.execute("PRAGMA foreign_keys = OFF")
        raw.execute(statement)
        raw.commit()
        raw.close()
        found = verify(store)
        assert kind in {each.kind for each in found.problems}
