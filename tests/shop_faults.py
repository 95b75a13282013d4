"""A writer that is killed, starved of room or shut out, and what it had been promised by then.

The writer is a child process made by forking, so that a round costs no fresh start of the interpreter. It
tells each change over a pipe only after the store said that it is saved.
"""

from __future__ import annotations

import os
import random
import select
import signal
import time
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import select as choose
from tests.shop_samples import picture_bytes

from forkwright.shop.job_book import add_note, add_photo
from forkwright.shop.jobs import open_job
from forkwright.shop.pictures import read_picture, take_in
from forkwright.shop.records import Unit
from forkwright.shop.records_job import Job, Note, Photo
from forkwright.shop.register import add_unit
from forkwright.shop.store import Store, find
from forkwright.shop.verify import verify


def new_shop(folder: Path) -> Path:
    """Return a fresh store with one unit and one job."""
    path = folder / "shop.sqlite3"
    with Store.open(path) as store, store.change(actor="setup") as session:
        open_job(session, add_unit(session, kind="fork", name="Dunlin 160"))
    return path


def write_on_and_on(path: Path, told: Callable[[str], None], name: str) -> None:
    """Save changes of several kinds for ever, telling each once it is saved."""
    number = 0
    with Store.open(path, wait=60) as store:
        while True:
            number += 1
            words = f"{name}/{number} " + "x" * random.randrange(0, 6000)
            with store.change(actor=name) as session:
                job = session.scalars(choose(Job).order_by(Job.number)).first()
                add_note(session, job, words)
                if number % 5 == 0:
                    open_job(session, find(session, Unit, job.unit_id), complaint=words)
                if number % 7 == 0:
                    colour = f"#{random.randrange(1 << 24):06x}"
                    kept = take_in(picture_bytes(colour), store.picture_folder)
                    add_photo(session, job, **vars(kept), caption=words)
            told(words)


def kill_rounds(folder: Path, rounds: int, *, seed: int, writers: int = 1) -> int:
    """Kill writers at random moments, `rounds` times; returns how many changes had been promised.

    Raises
    ------
    AssertionError
        A promised change is not there, one is there in part, or the store does not verify.
    """
    path = new_shop(folder)
    chance = random.Random(seed)
    promised: set[str] = set()
    for number in range(rounds):
        children = [_start(path, f"{number}.{place}") for place in range(writers)]
        if number % 6:  # the others are killed while they are still opening the store
            for _process, pipe in children:
                select.select([pipe], [], [], 20.0)  # the first promise
        time.sleep(chance.uniform(0.0, 0.06))
        for process, _pipe in children:
            os.kill(process, signal.SIGKILL)
        for process, pipe in children:
            os.waitpid(process, 0)
            with os.fdopen(pipe, encoding="utf-8") as told:
                promised.update(line.rstrip("\n") for line in told if line.endswith("\n"))
        if number % 10 == 9 or number == rounds - 1:
            check_promises(path, promised)
    return len(promised)


def check_promises(path: Path, promised: set[str]) -> None:
    """Hold the store against what the writers were promised."""
    with Store.open(path) as store:
        with store.look() as session:
            there = set(session.scalars(choose(Note.text)))
            complaints = set(session.scalars(choose(Job.complaint)))
            captions = set(session.scalars(choose(Photo.caption)))
            for digest in session.scalars(choose(Photo.digest)):
                read_picture(store.picture_folder, digest)
        assert {words.strip() for words in promised} <= there
        for words in there:  # a change is there whole or not at all, promised or not
            number = int(words.split("/")[1].split()[0])
            assert (number % 5 == 0) == any(words.strip() == each.strip() for each in complaints), words[:20]
            assert (number % 7 == 0) == any(words.strip() == each.strip() for each in captions), words[:20]
        found = verify(store)
        assert found.sound, found.problems


def in_child(work: Callable[[], None], *, user: int | None = None) -> str:
    """Run `work` in a forked child (as another user, if given) and return "" or what it raised."""
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        os.close(reading)
        words = ""
        try:
            if user is not None:
                os.setgroups([])
                os.setgid(user)
                os.setuid(user)
            work()
        except BaseException as error:
            words = f"{type(error).__name__}: {error}"
        os.write(writing, words.encode()[:60_000])
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as told:
        words = told.read().decode()
    os.waitpid(process, 0)
    return words


def _start(path: Path, name: str) -> tuple[int, int]:
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        try:
            os.close(reading)
            random.seed(name)
            write_on_and_on(path, lambda words: os.write(writing, f"{words}\n".encode()) and None, name)
        except BaseException as error:
            os.write(2, f"writer {name}: {error!r}\n".encode())
        finally:
            os._exit(1)
    os.close(writing)
    return process, reading
