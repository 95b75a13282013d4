"""A blind test on a shared workbench: a link of its own is right enough, and opens nothing else."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import APIRouter, FastAPI, Request
from tests.app.test_blind_secrecy import REQUEST, fork
from tests.app_visitor import PLACE, Visitor, portal
from tests.shop_samples import filled_store

from forkwright.app import Options, create_app
from forkwright.app.acts import opened_by_link
from forkwright.app.sharing import links
from forkwright.app.sharing.links import ONE_ADDRESS, ONE_LINK, LinkRight
from forkwright.app.sharing.rates import RateLimit
from forkwright.app.workshop.people import Person
from forkwright.shop.accounts import NotAllowed
from forkwright.shop.accounts_signin import attempts
from forkwright.trial import MASK_CHECKS, SAFETY_CHECKS

HTML = {"accept": "text/html"}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """Return the folder of a sample shop with a planned trial, and its links; copied, never changed."""
    folder = tmp_path_factory.mktemp("shared-trial")
    filled_store(folder).close()
    return folder, links_of_a_trial_in(folder / "trials")


def links_of_a_trial_in(folder: Path) -> dict[str, Any]:
    """Plan a trial in a folder of trials and return its links."""
    planner = create_app(Options(warm_up=False, trials=folder))
    with portal() as started:
        asked = {"request": REQUEST, "forks": [fork(), fork()]}
        planned = Visitor(started, planner, PLACE, "127.0.0.1").post("/api/blind/plan", json=asked)
    planner.state.jobs.close()
    assert planned.status_code == 200, planned.text
    found: dict[str, Any] = planned.json()["links"]
    return found


@pytest.fixture
def app(book: tuple[Path, dict[str, Any]], tmp_path: Path) -> Iterator[FastAPI]:
    """Give a shared workbench over a copy; `state.links` holds the trial's links."""
    folder, made_links = book
    shutil.copytree(folder, tmp_path, dirs_exist_ok=True)
    store = str(tmp_path / "shop.sqlite3")
    made = create_app(Options(warm_up=False, store=store, trials=tmp_path / "trials", shared=True))
    made.state.links = made_links
    with portal() as made.state.test_portal:
        yield made
    made.state.jobs.close()
    made.state.store_door.close()


def phone(app: FastAPI, address: str = "192.0.2.50") -> Visitor:
    """Return a phone on the shop's network that has never signed in."""
    return Visitor(app.state.test_portal, app, PLACE, address)


def seat(token: str, what: str = "") -> str:
    """Return the address of a call of one link."""
    return f"/api/blind/seat/{token}{what}"


def record(kind: str, by: str, **more: Any) -> dict[str, Any]:
    """Return a record as a phone sends it."""
    one = {"id": f"{kind}-{by}-{more.get('code', '')}", "kind": kind, "by": by}
    return {"records": [{**one, "at": datetime.now(UTC).isoformat(), **more}]}


def lines(app: FastAPI) -> list[tuple[str, str, str]]:
    """Return the audit of sign-ins, the oldest line first."""
    with app.state.store_door.open().look() as session:
        return [(each.name, each.outcome, each.address) for each in attempts(session)][::-1]


def test_a_riders_link_is_enough_for_all_that_a_rider_does(app: FastAPI) -> None:
    """Without an account: the page, its files, the rider's view, and records that are kept."""
    token, visitor = app.state.links["riders"]["Ash"], phone(app)
    page = visitor.get("/blind/rider", headers=HTML)
    assert page.status_code == 200
    assert "Ash" not in page.text
    for asset in ("js/blind/rider.js", "css/blind.css", "mark.svg"):
        assert visitor.get(app.state.assets.url(asset)).status_code == 200
    view = visitor.get(seat(token)).json()
    assert (view["role"], view["person"]) == ("rider", "Ash")
    sent = visitor.post(seat(token, "/records"), json=record("warm_up", "Ash", rider="Ash"))
    assert sent.json()["receipts"][0]["status"] == "kept"


def test_the_mechanics_link_is_enough_for_the_card(app: FastAPI) -> None:
    """Without an account: the page, the next card, and the ready record."""
    rider, mechanic = app.state.links["riders"]["Ash"], app.state.links["mechanic"]
    phone(app).post(seat(rider, "/records"), json=record("warm_up", "Ash", rider="Ash"))
    visitor = phone(app, "192.0.2.51")
    assert visitor.get("/blind/mechanic", headers=HTML).status_code == 200
    card = visitor.post(seat(mechanic, "/card"), json={"rider": "Ash"}).json()
    assert "setting" in card
    checks = [*SAFETY_CHECKS, *MASK_CHECKS]
    ready = record("ready", "Maple", code=card["code"], checks=checks)
    assert visitor.post(seat(mechanic, "/records"), json=ready).json()["receipts"][0]["status"] == "kept"


@pytest.mark.parametrize(
    "spoil", ["one letter more", "one letter less", "another trial", "upper case", "none"]
)
def test_a_wrong_link_opens_nothing(app: FastAPI, spoil: str) -> None:
    """A link that is nobody's is told to sign in, on every call, whether there is such a trial or not."""
    right = app.state.links["riders"]["Ash"]
    trial, _, word = right.partition(".")
    wrong = {
        "one letter more": f"{right}x",
        "one letter less": right[:-1],
        "another trial": f"other-day.{word}",
        "upper case": f"{trial}.{word.swapcase()}",
        "none": f"{trial}.",
    }[spoil]
    visitor = phone(app)
    for method, what in (("GET", ""), ("POST", "/records"), ("POST", "/card"), ("POST", "/close")):
        answered = visitor.request(method, seat(wrong, what), json={} if method == "POST" else None)
        assert answered.status_code == 401, what
        assert answered.json()["error"].endswith("sign in first")
        assert right.partition(".")[2] not in answered.text
    assert not [line for line in lines(app) if line[1].startswith("link")]


def test_the_leaders_pages_and_calls_stay_shut(app: FastAPI) -> None:
    """The leader's link alone opens neither page nor call; nor do a rider's and the mechanic's open those."""
    given, visitor = app.state.links, phone(app)
    led = visitor.get("/blind/lead", headers=HTML)
    assert led.status_code == 303
    assert led.headers["location"].startswith("/sign-in")
    for token in (given["leader"], given["mechanic"], given["riders"]["Ash"]):
        for what in ("/close", "/open", "/outcome", "/mechanic-link"):
            assert visitor.post(seat(token, what), json={}).status_code == 401, what
    assert visitor.get(seat(given["leader"])).status_code == 401
    assert (
        visitor.post(seat(given["leader"], "/records"), json=record("remark", "Linden", text="x")).status_code
        == 401
    )
    for path in ("/blind", "/api/blind", "/api/blind/square.svg?text=x", "/api/jobs", "/fork", "/jobs"):
        assert visitor.get(path).status_code == 401, path
    for path in ("/api/blind/plan", "/api/blind/size", "/api/blind/trials/spring-day/lead"):
        assert visitor.post(path, json={}).status_code == 401, path


def test_who_comes_by_a_link_is_nobody_to_the_shop_s_book(app: FastAPI) -> None:
    """Even in a call that a link opens, its holder has none of the rights of an account."""
    seen: list[Person] = []
    router = APIRouter()

    @router.get("/api/blind/seat/{token}/book")
    @opened_by_link("rider")
    async def book_call(token: str, request: Request) -> dict[str, str]:  # noqa: ARG001
        seen.append(request.state.person)
        return {}

    app.include_router(router)
    assert phone(app).get(seat(app.state.links["riders"]["Ash"], "/book")).status_code == 200
    assert (seen[0].name, seen[0].may) == ("Ash", frozenset())
    with pytest.raises(NotAllowed):
        seen[0].allow("look")
    assert phone(app).get(seat(app.state.links["mechanic"], "/book")).status_code == 401


def test_a_riders_link_cannot_read_the_card(app: FastAPI) -> None:
    """No rider's link gets a card, nor another rider's codes, nor writes in the mechanic's name."""
    token, visitor = app.state.links["riders"]["Ash"], phone(app)
    visitor.post(seat(token, "/records"), json=record("warm_up", "Ash", rider="Ash"))
    refused = visitor.post(seat(token, "/card"), json={"rider": "Ash"})
    assert refused.status_code == 401
    assert "psi" not in refused.text
    sly = visitor.post(seat(token, "/records"), json=record("skip", "Maple", code="1", text="x")).json()
    assert sly["receipts"][0]["status"] == "refused"


def test_the_first_use_of_a_link_is_written_down_once(app: FastAPI) -> None:
    """The audit of sign-ins names person, role, trial and address, once for each address; never the link."""
    token = app.state.links["riders"]["Ash"]
    for address in ("192.0.2.50", "192.0.2.50", "192.0.2.60"):
        assert phone(app, address).get(seat(token)).status_code == 200
    phone(app).get(seat(app.state.links["mechanic"]))
    told = [
        ("Ash", "link: rider of spring-day", "192.0.2.50"),
        ("Ash", "link: rider of spring-day", "192.0.2.60"),
        ("Maple", "link: mechanic of spring-day", "192.0.2.50"),
    ]
    assert lines(app) == told
    again = LinkRight(app.state.desk, app.state.store_door)  # as after a new start of the server
    assert again.holder(token, frozenset({"rider"}), "192.0.2.50") is not None
    assert lines(app) == told


def test_a_store_that_takes_no_line_keeps_no_rider_out(
    app: FastAPI, caplog: pytest.LogCaptureFixture
) -> None:
    """Where the audit cannot be written the server's log says so, and the rider goes on."""
    door = app.state.store_door
    path = Path(str(door.open().engine.url.database))
    door.close()
    path.write_bytes(b"no store " * 1000)
    for suffix in ("-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    with caplog.at_level(logging.WARNING, "forkwright.app"):
        assert phone(app).get(seat(app.state.links["riders"]["Ash"])).status_code == 200
    assert "could not be written down" in caplog.text


def asked_until_held_back(ask: Callable[[int], httpx.Response]) -> tuple[list[int], httpx.Response]:
    """Ask on and on until told to wait; a slow machine may take longer to be too fast."""
    seen: list[int] = []
    for number in range(1000):
        answered = ask(number)
        seen.append(answered.status_code)
        if answered.status_code == 429:
            break
    return seen, answered


def test_links_are_held_to_a_rate_for_each_link_and_each_address(app: FastAPI) -> None:
    """One link that asks without end is told to wait, wherever it asks from; others are not held up by it."""
    ash, birch = app.state.links["riders"]["Ash"], app.state.links["riders"]["Birch"]
    visitor = phone(app)
    seen, held = asked_until_held_back(lambda _: visitor.get(seat(ash)))
    assert set(seen) == {200, 429}
    assert int(held.headers["retry-after"]) >= 1
    assert visitor.get(seat(birch)).status_code == 200
    other = phone(app, "192.0.2.99")
    elsewhere, _ = asked_until_held_back(lambda _: other.get(seat(ash)))
    assert elsewhere[-1] == 429
    assert len(elsewhere) < ONE_LINK.at_once / 2  # a link not used up would have passed twice as often


def test_guessing_links_is_held_to_the_strangers_rate(app: FastAPI) -> None:
    """Whoever tries one link after another from an address soon gets 429, whatever the links."""
    visitor = phone(app)
    seen, _ = asked_until_held_back(lambda number: visitor.get(seat(f"spring-day.{number:024d}")))
    assert set(seen) == {401, 429}


def test_the_rates_of_links(monkeypatch: pytest.MonkeyPatch) -> None:
    """40 requests at once for a link, 200 for an address; a used-up link takes nothing from the others."""
    monkeypatch.setattr(links, "RateLimit", partial(RateLimit, clock=lambda: 0.0))
    right = LinkRight(None, None)  # type: ignore[arg-type]
    waits = [right.wait("a.b", "192.0.2.1") for _ in range(42)]
    assert waits == [0.0] * 40 + [1 / ONE_LINK.per_second] * 2
    assert right.wait("a.c", "192.0.2.1") == 0.0
    many = [right.wait(f"a.{number}", "192.0.2.2") for number in range(202)]
    assert many == [0.0] * 200 + [1 / ONE_ADDRESS.per_second] * 2
    assert right.wait("a.d", "192.0.2.3") == 0.0


def test_a_link_needs_no_form_token_and_still_no_other_site_can_use_it(app: FastAPI) -> None:
    """The right lies in the address: no cookie rides along. A foreign page is refused all the same."""
    token = app.state.links["riders"]["Ash"]
    sent = record("warm_up", "Ash", rider="Ash")
    foreign = phone(app).post(
        seat(token, "/records"), json=sent, headers={"origin": "http://elsewhere.example"}
    )
    assert foreign.status_code == 403
    visitor = phone(app)
    visitor.cookies.set("forkwright_session", "x" * 43)  # a dead session beside the link does no harm
    assert visitor.post(seat(token, "/records"), json=sent).json()["receipts"][0]["status"] == "kept"


def test_a_replaced_link_is_dead_here_too(app: FastAPI) -> None:
    """After the mechanic got a new link, the one before opens nothing."""
    from forkwright.app.blind.seats import token as written

    desk, given = app.state.desk, app.state.links
    old = given["mechanic"]
    renewed = desk.new_mechanic_link(desk.seated(given["leader"]))
    assert phone(app).get(seat(old)).status_code == 401
    assert phone(app).get(seat(written("spring-day", renewed.mechanic))).status_code == 200
