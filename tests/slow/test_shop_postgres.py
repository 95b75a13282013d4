"""The shared store on a real PostgreSQL server on loopback: the same book, several benches, lost links."""

from __future__ import annotations

import itertools
import threading

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import select, text
from tests.shop_samples import fill, filled_store, ticking
from tests.shop_server import running_server, server_programs

from forkwright.shop.backup import bring_up_to_date, make_backup
from forkwright.shop.conflicts import Conflict, change_record
from forkwright.shop.dump import read_dump
from forkwright.shop.engine import make_engine
from forkwright.shop.export import export_shop, import_shop
from forkwright.shop.jobs import open_job
from forkwright.shop.migrate import upgrade
from forkwright.shop.migrations import NEWEST
from forkwright.shop.records import Customer, Unit
from forkwright.shop.records_job import Job
from forkwright.shop.register import add_customer, add_unit
from forkwright.shop.restore import restore
from forkwright.shop.search import search
from forkwright.shop.store import Store, find
from forkwright.shop.tables import metadata
from forkwright.shop.troubles import StoreBusy, StoreUnreachable
from forkwright.shop.verify import verify

PROGRAMS = server_programs()
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(PROGRAMS is None, reason="no PostgreSQL server on this machine"),
]
NAMES = (f"shop_{number}" for number in itertools.count())


@pytest.fixture(scope="module")
def server():
    with running_server(PROGRAMS) as started:
        yield started


@pytest.fixture
def address(server):
    name = next(NAMES)
    server.sql(f"CREATE DATABASE {name}")
    return server.address(name)


@pytest.fixture
def store(address, tmp_path):
    with Store.open(address, picture_folder=tmp_path / "pictures", clock=ticking()) as opened:
        yield opened


def rows_of(store):
    with store.look() as session:
        return read_dump(session.connection(), accounts=True).tables


def test_the_tables_are_those_of_the_program(store):
    """The migrations make on the server exactly what the program expects."""
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata()) == []


def test_the_whole_book_works_on_the_server(store):
    """The sample shop, hard texts included, is kept, found and verified."""
    fill(store)
    found = verify(store)
    assert found.sound, found.problems
    with store.look() as session:
        assert search(session, "odegard")


def test_the_book_moves_between_file_and_server_and_back(store, tmp_path):
    """From a file by backup to the server, by export into a file again: identical, and it goes on."""
    with filled_store(tmp_path / "file") as file_store:
        make_backup(file_store, tmp_path / "a.forkwright-backup")
        before = rows_of(file_store)
    address = store.engine.url.render_as_string(hide_password=False)
    assert restore(address, tmp_path / "a.forkwright-backup", picture_folder=store.picture_folder) is None
    assert rows_of(store) == before
    export_shop(store, tmp_path / "out", formats=("toml",), accounts=True)
    with Store.open(tmp_path / "again.sqlite3") as again:
        import_shop(again, tmp_path / "out")
        assert rows_of(again) == before
    with store.change(actor="after") as session:
        unit = session.scalars(select(Unit)).first()
        assert open_job(session, unit).number == 3
    assert verify(store).sound


def test_an_older_version_comes_up(address, tmp_path, monkeypatch):
    """Tables of the first version come up on the server too, after a backup."""
    monkeypatch.chdir(tmp_path)
    engine = make_engine(address)
    upgrade(engine, "0001")
    engine.dispose()
    before, after, saved = bring_up_to_date(address)
    assert (before, after) == ("0001", NEWEST)
    assert saved is not None


def test_eight_benches_open_jobs_at_once(store, address):
    """40 jobs from eight threads have 40 different numbers."""
    with store.change(actor="x") as session:
        unit_id = add_unit(session, kind="fork", name="Dunlin 160").id
    failed: list[BaseException] = []

    def write() -> None:
        try:
            with Store.open(address) as own:
                for _ in range(5):
                    with own.change(actor="bench") as session:
                        open_job(session, find(session, Unit, unit_id))
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=write) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with store.look() as session:
        assert sorted(session.scalars(select(Job.number))) == list(range(1, 41))
    assert verify(store).sound


def test_the_slower_of_two_benches_gets_the_conflict(store, address):
    """Both read version 1; the first to save wins, the second is told."""
    with store.change(actor="Ines") as session:
        customer = add_customer(session, name="Oda")

    def both_change() -> None:
        with Store.open(address) as other, store.change(actor="Ines") as session:
            mine = find(session, Customer, customer.id)
            with other.change(actor="Bo") as faster:
                change_record(faster, find(faster, Customer, customer.id), {"phone": "2"})
            change_record(session, mine, {"phone": "3"})

    with pytest.raises(Conflict):
        both_change()
    with store.look() as session:
        assert find(session, Customer, customer.id).phone == "2"


def test_a_bench_that_waits_too_long_is_told(store, address):
    """A row held by another bench ends the wait as `StoreBusy`."""
    with store.change(actor="Ines") as session:
        customer = add_customer(session, name="Oda")

    def wait_in_vain(other: Store) -> None:
        with other.change(actor="Bo") as waiting:
            change_record(waiting, find(waiting, Customer, customer.id), {"phone": "2"})

    with Store.open(address, wait=1) as other, store.change(actor="Ines") as session:
        change_record(session, find(session, Customer, customer.id), {"phone": "1"})
        with pytest.raises(StoreBusy):
            wait_in_vain(other)


def test_a_link_that_drops_during_a_change_is_told_and_saves_nothing(store, server):
    """The server ends the link mid-change: advice, nothing half saved, and the next change works."""

    def drop_the_link() -> None:
        with store.change(actor="Ines") as session:
            add_customer(session, name="lost")
            process = session.scalar(text("SELECT pg_backend_pid()"))
            server.sql(f"SELECT pg_terminate_backend({process})")
            add_customer(session, name="never")

    with pytest.raises(StoreUnreachable, match="look before repeating"):
        drop_the_link()
    with store.change(actor="Ines") as session:
        add_customer(session, name="after")
    with store.look() as session:
        assert list(session.scalars(select(Customer.name))) == ["after"]
    assert verify(store).sound


def test_a_server_that_goes_away_and_comes_back_loses_nothing_promised(store, server, address):
    """Stopped as by a power cut and started again: what was saved is there, and work goes on by itself."""
    with store.change(actor="Ines") as session:
        add_customer(session, name="promised")
    server.stop(how="immediate")
    try:
        with pytest.raises(StoreUnreachable), store.change(actor="Ines") as session:
            add_customer(session, name="not promised")
        with pytest.raises(StoreUnreachable):
            Store.open(address, wait=1)
    finally:
        server.start()
    with store.change(actor="Ines") as session:
        add_customer(session, name="again")
    with store.look() as session:
        assert sorted(session.scalars(select(Customer.name))) == ["again", "promised"]
    assert verify(store).sound
