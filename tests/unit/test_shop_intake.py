"""Taking a unit in: what is known is found again, what is said now stands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select
from tests.shop_samples import DEMO

from forkwright.sheets.job_papers import card_of_job, papers_of
from forkwright.shop.intake import Arrival, take_in
from forkwright.shop.job_book import record_setting
from forkwright.shop.jobs import open_job
from forkwright.shop.records import Bike, Customer, Unit
from forkwright.shop.store import Store, find
from forkwright.units import InputError

FORK = (DEMO / "dunlin-160.toml").read_text(encoding="utf-8")
BIKE = (DEMO / "bike.toml").read_text(encoding="utf-8")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Give an empty book."""
    with Store.open(tmp_path / "shop.sqlite3") as opened:
        yield opened


def came_in(store: Store, **said: str) -> str:
    """Take a unit in and return its id."""
    with store.change("Ines") as session:
        return take_in(session, Arrival(**said)).id


def test_owner_bike_and_unit_are_found_again(store: Store) -> None:
    """The second visit of the same serial number, owner and bike adds none of them a second time."""
    said = {"unit_text": FORK, "serial": "D-1", "customer": "Oda", "bike": "Moorland 29"}
    assert came_in(store, **said) == came_in(store, **said)
    with store.look() as session:
        for table in (Unit, Customer, Bike):
            assert session.scalar(select(func.count()).select_from(table)) == 1


def test_a_known_unit_changes_hands_and_bikes(store: Store) -> None:
    """A unit that comes with another owner is theirs from now on; saying nothing changes nothing."""
    first = came_in(store, unit_text=FORK, serial="D-1", customer="Oda", bike="Moorland 29")
    assert came_in(store, unit_id=first) == first
    with store.look() as session:
        unit = find(session, Unit, first)
        assert (find(session, Customer, unit.customer_id).name, unit.version) == ("Oda", 1)
    came_in(store, unit_text=FORK, serial="D-1", customer="Zoë", bike="Heath 27")
    with store.look() as session:
        unit = find(session, Unit, first)
        assert find(session, Customer, unit.customer_id).name == "Zoë"
        assert find(session, Bike, unit.bike_id).name == "Heath 27"
        assert find(session, Bike, unit.bike_id).customer_id == unit.customer_id


def test_a_bike_s_file_puts_the_sag_to_check_on_the_card(store: Store) -> None:
    """With the bike's file and the rider's mass the card states the computed sag; without it cannot."""
    unit_id = came_in(store, unit_text=FORK, serial="D-1", customer="Oda")
    checks = []
    for bike_text in ("", BIKE):
        came_in(store, unit_id=unit_id, bike_text=bike_text)
        with store.change("Ines") as session:
            job = open_job(session, find(session, Unit, unit_id), rider_mass="82 kg")
            record_setting(session, job, "after", pressure="80 psi", spacers=2)
            checks.append([entry.name for entry in card_of_job(papers_of(session, job)).checks])
    assert checks[0] == []
    assert any("Sag" in name for name in checks[1])


def test_a_newer_bike_file_takes_the_place_of_the_one_before(store: Store) -> None:
    """The bike is found by its name, and its file is the newest one that came in."""
    newer = f"{BIKE}\n# measured again\n"
    unit_id = came_in(store, unit_text=FORK, serial="D-1", bike_text=BIKE)
    assert came_in(store, unit_id=unit_id, bike_text=newer) == unit_id
    with store.look() as session:
        bike = find(session, Bike, find(session, Unit, unit_id).bike_id)
        assert "measured again" in bike.file_text
        assert session.scalar(select(func.count()).select_from(Bike)) == 1


@pytest.mark.parametrize("wrong", [FORK, "no file at all", ""])
def test_wrong_files_are_refused_and_nothing_is_kept(store: Store, wrong: str) -> None:
    """A fork's file as the bike's, or no name at all: told, and the book stays empty."""
    with pytest.raises(InputError):
        came_in(store, bike_text=wrong, kind="fork", name="" if not wrong else "Dunlin")
    with store.look() as session:
        assert session.scalar(select(func.count()).select_from(Unit)) == 0
