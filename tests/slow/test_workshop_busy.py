"""A busy and an ill-treated workbench: 50 people for a minute, requests right and wrong, uploads."""

from __future__ import annotations

import random
import re
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import pytest
from tests.app_server import ask_everything, running_workbench
from tests.app_uploads import spoiled_uploads
from tests.shop_samples import PASSWORD, filled_store

from forkwright.shop.accounts import add_account
from forkwright.shop.store import Store
from forkwright.shop.verify import verify

pytestmark = pytest.mark.slow

PEOPLE = 50
SECONDS = 60.0


@dataclass
class Diary:
    """What one person at a browser did and saw."""

    notes: list[str] = field(default_factory=list)
    times: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def shared_book(folder: Path) -> Path:
    """Make a shop's book with accounts for everyone."""
    with filled_store(folder) as store, store.change("test") as session:
        for place in range(PEOPLE):
            add_account(session, name=f"bench-{place}", role="technician", password=PASSWORD)
    return folder / "shop.sqlite3"


def come_in(address: str, place: int) -> httpx.Client:
    """Sign in and return the client with its session and form token."""
    client = httpx.Client(base_url=address, timeout=60.0)
    token = re.search(r'name="form_token" value="([0-9a-f]+)"', client.get("/sign-in").text)
    assert token
    fields = {"name": f"bench-{place}", "password": PASSWORD, "form_token": token[1], "next": "/jobs"}
    answered = client.post("/sign-in", data=fields)
    assert answered.status_code == 303, answered.text
    page = client.get("/jobs", headers={"accept": "text/html"}).text
    found = re.search(r'name="form-token" content="([0-9a-f]{64})"', page)
    assert found
    client.headers["x-form-token"] = found[1]
    return client


def work(client: httpx.Client, place: int, until: float, diary: Diary) -> None:
    """Look at the board and a job and write a note, over and over, as fast as a hurried person."""
    dice = random.Random(place)
    while time.monotonic() < until:
        step = dice.choice(("board", "job", "note", "search"))
        begun = time.perf_counter()
        if step == "board":
            answered = client.get("/jobs", headers={"accept": "text/html"})
        elif step == "job":
            answered = client.get("/jobs/2/inspection", headers={"accept": "text/html"})
        elif step == "search":
            answered = client.get("/api/workshop/search?words=dunlin")
        else:
            text = f"note {place}-{len(diary.notes)}"
            answered = client.post("/api/workshop/jobs/2/notes", json={"text": text})
            if answered.status_code == 200:
                diary.notes.append(text)
        diary.times.append(time.perf_counter() - begun)
        if answered.status_code != 200:
            diary.wrong.append(f"{step}: {answered.status_code} {answered.text[:200]}")
        time.sleep(dice.uniform(0.3, 1.2))


def test_fifty_people_for_a_minute(tmp_path: Path) -> None:
    """50 signed-in clients look and write for 60 s: nothing fails, every acknowledged note is there once."""
    book = shared_book(tmp_path)
    diaries = [Diary() for _ in range(PEOPLE)]
    with running_workbench(book, "--share", "--host", "127.0.0.1") as address:
        clients = []
        for place in range(PEOPLE):
            clients.append(come_in(address, place))
            time.sleep(0.55)  # strangers at one address are held to two requests a second
        until = time.monotonic() + SECONDS
        threads = [
            threading.Thread(target=work, args=(client, place, until, diaries[place]))
            for place, client in enumerate(clients)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        for client in clients:
            client.close()
    wrong = [words for diary in diaries for words in diary.wrong]
    assert not wrong, wrong[:5]
    promised = sorted(text for diary in diaries for text in diary.notes)
    with Store.open(book) as store:
        from forkwright.shop.jobs import job_by_number
        from forkwright.shop.records_job import Note
        from forkwright.shop.views import of_job

        with store.look() as session:
            kept = [note.text for note in of_job(session, Note, job_by_number(session, 2))]
        assert sorted(text for text in kept if text.startswith("note ")) == promised
        assert verify(store).sound
    times = sorted(moment for diary in diaries for moment in diary.times)
    middle, late = times[len(times) // 2], times[int(0.95 * len(times))]
    print(f"{len(times)} requests, {len(promised)} notes; median {middle:.3f} s, 95 % within {late:.3f} s")
    assert len(promised) > PEOPLE


def test_thousands_of_requests_right_and_wrong(tmp_path: Path) -> None:
    """Requests made from the description of the API meet no fault of the server; the book stays sound."""
    filled_store(tmp_path).close()
    book = tmp_path / "shop.sqlite3"
    with running_workbench(book) as address:
        asked = ask_everything(address, lambda path: path.startswith("/api/workshop"), 100, number=3)
        asked += ask_everything(address, lambda path: not path.startswith("/api/workshop"), 15, number=3)
    assert asked > 3000
    with Store.open(book) as store:
        assert verify(store).sound


def test_thousands_of_spoiled_uploads(tmp_path: Path) -> None:
    """2000 spoiled pictures are refused in words or written anew as JPEG; the book stays sound."""
    filled_store(tmp_path).close()
    book = tmp_path / "shop.sqlite3"
    with running_workbench(book) as address, httpx.Client(base_url=address, timeout=60.0) as client:
        sent, kept = set(), set()
        for content in spoiled_uploads(random.Random(5), 2000):
            answered = client.post("/api/workshop/pictures?job=2", content=content)
            assert answered.status_code in (200, 422), answered.text
            sent.add(content)
            if answered.status_code == 200:
                kept |= {photo["digest"] for photo in answered.json()["photos"]}
            else:
                assert answered.json()["error"].startswith("picture: "), answered.text
        assert len(kept) > 20
        for digest in kept:
            content = client.get(f"/api/workshop/pictures/{digest}").content
            assert content.startswith(b"\xff\xd8\xff")
            assert content not in sent
        assert client.get("/api/health").status_code == 200
    with Store.open(book) as store:
        assert verify(store).sound
