"""A disk that is truly full, and one that turns read-only, under a running workbench."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from tests.app_server import running_workbench
from tests.shop_faults import new_shop
from tests.shop_samples import picture_bytes

from forkwright.shop.store import Store
from forkwright.shop.verify import verify

NOTES = "/api/workshop/jobs/1/notes"


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """Give a disk of 3 MiB of its own, in memory; gone afterwards."""
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only the superuser of a Linux machine can make a small disk")
    place = tmp_path / "disk"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(place)], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip(f"no small disk can be made here: {made.stderr.decode()}")
    yield place
    subprocess.run(["umount", "--lazy", str(place)], check=True)


def texts(client: httpx.Client) -> list[str]:
    """Return the notes of the one job."""
    answered = client.get("/api/workshop/jobs/1")
    assert answered.status_code == 200, answered.text
    return [note["text"] for note in answered.json()["notes"]]


@pytest.mark.slow
def test_a_full_disk_under_a_running_workbench(disk: Path, tmp_path: Path) -> None:
    """Notes until the disk is full: 503 in words, none promised is lost; with room it goes on."""
    book = new_shop(disk)
    with (
        running_workbench(book, folder=tmp_path) as address,
        httpx.Client(base_url=address, timeout=60) as client,
    ):
        promised: list[str] = []
        for number in range(2000):
            text = f"note {number} " + "x" * 9000
            answered = client.post(NOTES, json={"text": text})
            if answered.status_code != 200:
                break
            promised.append(text)
        assert answered.status_code == 503, answered.text
        assert "disk with the shop's store is full" in answered.json()["error"]
        assert len(promised) > 5
        filler = disk / "filler"
        with filler.open("wb") as file:
            free = os.statvfs(disk)
            file.write(b"\0" * free.f_bavail * free.f_bsize)
        picture = client.post("/api/workshop/pictures?job=1", content=picture_bytes("red", (1200, 900)))
        assert picture.status_code == 503, picture.text
        assert texts(client) == promised
        assert client.get("/jobs/1", headers={"accept": "text/html"}).status_code == 200
        subprocess.run(["mount", "-o", "remount,size=12m", str(disk)], check=True)
        assert client.post(NOTES, json={"text": "room again"}).status_code == 200
        assert texts(client) == [*promised, "room again"]
    print(f"{len(promised)} notes promised before the disk was full")
    with Store.open(book) as store:
        found = verify(store)
    assert found.sound, found.problems


@pytest.mark.slow
def test_a_disk_that_turns_read_only_under_a_running_workbench(disk: Path, tmp_path: Path) -> None:
    """It is told in words what the matter is, and nothing is lost when it can be written again."""
    book = new_shop(disk)
    with (
        running_workbench(book, folder=tmp_path) as address,
        httpx.Client(base_url=address, timeout=60) as client,
    ):
        assert client.post(NOTES, json={"text": "promised"}).status_code == 200
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        refused = client.post(NOTES, json={"text": "not promised"})
        assert refused.status_code == 503, refused.text
        assert "read-only disk" in refused.json()["error"]
        assert "Nothing was saved" in refused.json()["error"]
        seen = client.get("/jobs/1", headers={"accept": "text/html"})
        assert seen.status_code == 503
        assert "read-only disk" in seen.text
        subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
        assert client.post(NOTES, json={"text": "again"}).status_code == 200
        assert texts(client) == ["promised", "again"]
    with Store.open(book) as store:
        assert verify(store).sound
