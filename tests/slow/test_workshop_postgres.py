"""The workbench over a real PostgreSQL server on loopback: jobs by the API, and links that break."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
import psycopg
import pytest
from tests.app_server import ask_everything, running_workbench
from tests.shop_samples import fill, picture_bytes
from tests.shop_server import Server, running_server, server_programs

from forkwright.shop.accounts import add_account
from forkwright.shop.inspection import check_list
from forkwright.shop.store import Store
from forkwright.shop.verify import verify

PROGRAMS = server_programs()
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(PROGRAMS is None, reason="no PostgreSQL server on this machine"),
]
DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo" / "dunlin-160.toml"
NAMES = (f"bench_{number}" for number in itertools.count())


@dataclass
class Bench:
    """A running workbench and the database behind it."""

    client: httpx.Client
    server: Server
    database: str
    address: str

    def call(self, method: str, path: str, **body: Any) -> dict[str, Any]:
        """Ask the workshop's API and return what it answers, which must be a good answer."""
        more = {"json": body} if method != "GET" else {}
        answered = self.client.request(method, f"/api/workshop{path}", **more)
        assert answered.status_code == 200, answered.text
        found: dict[str, Any] = answered.json()
        return found

    def notes(self, number: int) -> list[str]:
        """Return the texts of a job's notes."""
        return [note["text"] for note in self.call("GET", f"/jobs/{number}")["notes"]]

    def must_be_sound(self) -> None:
        """Hold every row against the audit trail."""
        with Store.open(self.database) as store:
            found = verify(store)
        assert [each for each in found.problems if each.kind != "picture"] == []


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    """Give a server with a data folder of its own."""
    assert PROGRAMS is not None
    with running_server(PROGRAMS) as started:
        yield started


@pytest.fixture
def bench(server: Server, tmp_path: Path) -> Iterator[Bench]:
    """Give a workbench over an empty database."""
    name = next(NAMES)
    server.sql(f"CREATE DATABASE {name}")
    database = server.address(name)
    with (
        running_workbench(database, "--trials", str(tmp_path / "trials"), folder=tmp_path) as address,
        httpx.Client(base_url=address, timeout=60.0) as client,
    ):
        yield Bench(client, server, database, address)


def taken_in(bench: Bench) -> int:
    """Take a fork in and return the job's number."""
    made = bench.call(
        "POST", "/jobs", toml=DEMO.read_text(encoding="utf-8"), serial="D-1", customer="Zoë Ødegård",
        complaint="harsh on small bumps", rider_mass="82 kg", riding_hours=60,
    )  # fmt: skip
    return int(made["number"])


def test_a_job_from_intake_to_hand_over(bench: Bench, tmp_path: Path) -> None:
    """The whole flow by the API on the server, from taking in to giving back, with the papers."""
    number = taken_in(bench)
    job = f"/jobs/{number}"

    def version() -> int:
        return int(bench.call("GET", job)["version"])

    bench.call("PUT", f"{job}/settings/before", pressure="70 psi", spacers=2, rebound=9)
    bench.call("PUT", f"{job}/stage", stage="inspection", read_version=version())
    for item in check_list("fork"):
        bench.call("PUT", f"{job}/findings/{item.key}", result="good", remark="прямая")
    bench.call("POST", f"{job}/notes", text="ゾーイ rang: back on Friday")
    bench.call("POST", f"{job}/materials", kind="oil", name="the maker's oil", amount="10 ml", place="lowers")
    bench.call(
        "POST",
        f"{job}/leak-downs",
        chamber="positive",
        start_pressure="80 psi",
        end_pressure="79 psi",
        hours=12,
    )
    sent = bench.client.post(f"/api/workshop/pictures?job={number}", content=picture_bytes())
    assert sent.status_code == 200, sent.text
    bench.call("PUT", f"{job}/settings/after", pressure="80 psi", spacers=2, rebound=7, low_speed=5)
    for stage in ("work", "check"):
        bench.call("PUT", f"{job}/stage", stage=stage, read_version=version())
    bench.call(
        "PUT", f"{job}/conclusion", read_version=version(), work_done="lower leg service", hours=50,
        hours_a_week=5, before_month=3,
    )  # fmt: skip
    bench.call("PUT", f"{job}/stage", stage="ready", read_version=version())
    for role, name in (("technician", "Ines Falk"), ("customer", "Zoë Ødegård")):
        bench.call("POST", f"{job}/signatures", role=role, name=name, seen=bench.call("GET", job)["digest"])
    bench.call("POST", f"{job}/handover", read_version=version())
    sheet = bench.call("GET", job)
    assert sheet["stage"] == "handed over"
    for paper, start in (("card.pdf", b"%PDF"), ("report.pdf", b"%PDF"), ("pressures.xlsx", b"PK")):
        answered = bench.client.get(f"/api/workshop{job}/{paper}")
        assert answered.status_code == 200, answered.text[:300]
        assert answered.content.startswith(start)
    assert bench.call("GET", "/search?words=odegard")["hits"]
    unit = bench.call("GET", f"/units/{sheet['unit']['id']}")
    assert len(unit["events"]) > 10
    for page in ("/jobs", f"/jobs/{number}", f"/jobs/{number}/handover"):
        assert bench.client.get(page, headers={"accept": "text/html"}).status_code == 200
    assert list((tmp_path / "pictures").rglob("*.*")) or list((tmp_path / "pictures").rglob("?" * 64))
    bench.must_be_sound()


def test_the_slower_of_two_gets_the_merge(bench: Bench) -> None:
    """Who saves second on top of an older version is answered 409, with each field as it was and is."""
    number = taken_in(bench)
    version = bench.call("GET", f"/jobs/{number}")["version"]
    bench.call("PUT", f"/jobs/{number}/intake", complaint="first", read_version=version)
    late = bench.client.put(
        f"/api/workshop/jobs/{number}/intake", json={"complaint": "second", "read_version": version}
    )
    assert late.status_code == 409
    field = next(each for each in late.json()["fields"] if each["name"] == "complaint")
    assert (field["base"], field["mine"], field["theirs"]) == ("harsh on small bumps", "second", "first")


def test_links_cut_while_nobody_asks_are_not_even_noticed(bench: Bench) -> None:
    """Every waiting connection is ended by the server; the next request opens a new one and is answered."""
    number = taken_in(bench)
    ended = bench.server.sql(
        "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE application_name = 'forkwright'"
    )
    assert int(ended) >= 1
    bench.call("POST", f"/jobs/{number}/notes", text="after")
    assert bench.notes(number) == ["after"]


def test_a_link_cut_in_the_middle_of_a_change_is_told_and_nothing_is_half_there(bench: Bench) -> None:
    """The link is cut while a change waits in the database: 503 in words, nothing saved; then all works."""
    number = taken_in(bench)
    answers: list[httpx.Response] = []

    def write() -> None:
        path = f"/api/workshop/jobs/{number}/notes"
        answers.append(bench.client.post(path, json={"text": "caught in the middle"}))

    with psycopg.connect(bench.database) as other:
        other.execute("LOCK TABLE note IN ACCESS EXCLUSIVE MODE")
        writer = threading.Thread(target=write)
        writer.start()
        caught = ""
        until = time.monotonic() + 8.0
        while not caught and time.monotonic() < until:
            caught = bench.server.sql(
                "SELECT pid FROM pg_stat_activity "
                "WHERE application_name = 'forkwright' AND wait_event_type = 'Lock'"
            )
        assert caught
        bench.server.sql(f"SELECT pg_terminate_backend({caught.splitlines()[0]})")
        writer.join()
        other.rollback()
    assert answers[0].status_code == 503
    assert "link to the database server broke" in answers[0].json()["error"]
    assert "look before repeating" in answers[0].json()["error"]
    assert bench.notes(number) == []
    bench.call("POST", f"/jobs/{number}/notes", text="repeated")
    assert bench.notes(number) == ["repeated"]
    bench.must_be_sound()


def test_a_server_gone_and_back_is_told_on_pages_and_calls(bench: Bench) -> None:
    """While the server is down pages and calls answer 503 in words; when it is back, everything is there."""
    number = taken_in(bench)
    bench.call("POST", f"/jobs/{number}/notes", text="promised")
    bench.server.stop(how="immediate")
    try:
        for method, path in (("GET", f"/jobs/{number}"), ("POST", f"/jobs/{number}/notes")):
            body = {"json": {"text": "not promised"}} if method == "POST" else {}
            answered = bench.client.request(method, f"/api/workshop{path}", **body)
            assert answered.status_code == 503, answered.text
            assert "Traceback" not in answered.text
            assert any(word in answered.json()["error"] for word in ("link", "cannot be opened"))
        page = bench.client.get("/jobs", headers={"accept": "text/html"})
        assert page.status_code == 503
        assert "<h1" in page.text
        assert (
            bench.client.post("/api/import", json={"text": DEMO.read_text(), "name": "d"}).status_code == 200
        )
    finally:
        bench.server.start()
    assert bench.notes(number) == ["promised"]
    bench.call("POST", f"/jobs/{number}/notes", text="again")
    bench.must_be_sound()


@dataclass
class Diary:
    """What one hurried writer was promised, told, and not told."""

    kept: list[str] = field(default_factory=list)
    unsure: list[str] = field(default_factory=list)


def test_eight_writers_through_a_power_cut(bench: Bench) -> None:
    """Eight write without pause while the server is stopped hard and started: each promise is kept, once."""
    number, over = taken_in(bench), threading.Event()
    diaries = [Diary() for _ in range(8)]

    def write(place: int) -> None:
        with httpx.Client(base_url=bench.address, timeout=60.0) as client:
            for count in itertools.count():
                if over.is_set():
                    return
                text = f"note {place}-{count}"
                answered = client.post(f"/api/workshop/jobs/{number}/notes", json={"text": text})
                assert answered.status_code in (200, 503), answered.text
                if answered.status_code == 503:
                    over.wait(0.2)  # as a person would
                (diaries[place].kept if answered.status_code == 200 else diaries[place].unsure).append(text)

    threads = [threading.Thread(target=write, args=(place,)) for place in range(8)]
    for thread in threads:
        thread.start()
    try:
        for _ in range(3):
            time.sleep(2.0)
            bench.server.stop(how="immediate")
            bench.server.start()
        time.sleep(2.0)
    finally:
        over.set()
        for thread in threads:
            thread.join()
    promised = sorted(text for diary in diaries for text in diary.kept)
    unsure = {text for diary in diaries for text in diary.unsure}
    there = bench.notes(number)
    print(f"{len(promised)} notes promised, {len(unsure)} unsure, {len(unsure & set(there))} of those there")
    assert len(there) == len(set(there))
    assert set(promised) <= set(there) <= set(promised) | unsure
    assert len(promised) > 20
    assert unsure
    bench.must_be_sound()


def test_a_shared_workbench_on_the_server(server: Server, tmp_path: Path) -> None:
    """With accounts, over the filled sample book: strangers out, and no request right or wrong is a fault."""
    name = next(NAMES)
    server.sql(f"CREATE DATABASE {name}")
    database = server.address(name)
    with Store.open(database, picture_folder=tmp_path / "pictures") as store:
        fill(store)
        with store.change("test") as session:
            add_account(session, name="bench-0", role="technician", password="moorland rain 7")
    with running_workbench(database, "--share", "--host", "127.0.0.1", folder=tmp_path) as address:
        assert httpx.get(f"{address}/api/workshop/jobs").status_code == 401
        assert httpx.get(f"{address}/sign-in").status_code == 200
    with running_workbench(database, folder=tmp_path) as address:
        asked = ask_everything(address, lambda path: path.startswith("/api/workshop"), 20, number=7)
    print(f"{asked} requests made from the description")
    assert asked > 300
    with Store.open(database, picture_folder=tmp_path / "pictures") as store:
        found = verify(store)
    assert found.sound, found.problems
