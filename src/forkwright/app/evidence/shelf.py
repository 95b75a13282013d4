"""Files of measurements that were brought in.

Each lies on disk under a name of our own; the name its user gave is only ever shown. What was read from it is
kept in memory while there is room, and read again when it is asked for later.
"""

from __future__ import annotations

import itertools
import secrets
import shutil
import tempfile
import threading
import weakref
from collections import OrderedDict
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, BinaryIO

from fastapi import Depends, Request

from forkwright.app.jobs import Tell
from forkwright.app.options import MEBIBYTE
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.evidence.mapping import SourceMapping
    from forkwright.evidence.overlay import Overlay
    from forkwright.evidence.recording import Recording
    from forkwright.evidence.ride_log import RideLog

LARGEST_FILE = 400 * MEBIBYTE
MOST_VALUES = 40_000_000
"""Rows times columns of one file: an hour of four channels at 1 kHz has fourteen million."""
_FILES_OF_ONE = 12
_BYTES_OF_ONE = 1024 * MEBIBYTE
_BYTES_IN_ALL = 4096 * MEBIBYTE
_VALUES_IN_MEMORY = 60_000_000
_RIDES_KEPT = 3
_LONGEST_NAME = 120


@dataclass
class Held:
    """One file on the shelf, and what is known about it.

    Parameters
    ----------
    key : str
        Unguessable name by which its browser asks for it.
    owner : str
        Who brought it in (see `visitors`).
    name : str
        What its user calls it; shown, never opened.
    path : Path
        Where it lies.
    size : int
        Bytes.
    """

    key: str
    owner: str
    name: str
    path: Path
    size: int = 0
    sheet: str | None = None
    ranges: dict[str, tuple[float, float]] = field(default_factory=dict)
    mapping: SourceMapping | None = None
    recording: Recording | None = None
    rides: OrderedDict[tuple[object, ...], RideLog] = field(default_factory=OrderedDict)
    overlay: Overlay | None = None
    lock: threading.RLock = field(default_factory=threading.RLock)

    @property
    def values(self) -> int:
        """Numbers held in memory for it, about."""
        if self.recording is None:
            return 0
        rows = self.recording.time.size
        return rows * (1 + len(self.recording.channels) + 3 * len(self.rides))

    def forget_readings(self) -> None:
        """Free the memory; the file and what its columns mean stay."""
        self.recording, self.overlay = None, None
        self.rides.clear()


class Arrival:
    """A file that is on its way; it stands on the shelf once it is complete."""

    def __init__(self, shelf: Shelf, held: Held, target: BinaryIO) -> None:
        self._shelf, self._held, self._target = shelf, held, target

    def write(self, part: bytes) -> None:
        """Take in the next bytes."""
        self._held.size += len(part)
        if self._held.size > LARGEST_FILE:
            raise InputError(
                "the file is too large to bring in; cut it into shorter rides",
                file=self._held.name,
                allowed=f"up to {LARGEST_FILE // MEBIBYTE} MiB",
            )
        try:
            self._target.write(part)
        except OSError as fault:
            raise InputError(
                f"there is no room for the file: {fault.strerror}", file=self._held.name
            ) from None

    def complete(self) -> Held:
        """Put the file on the shelf."""
        self._target.close()
        if self._held.size == 0:
            raise InputError("the file is empty", file=self._held.name)
        self._shelf.add(self._held)
        return self._held

    def drop(self) -> None:
        """Throw away what has come so far."""
        self._target.close()
        self._held.path.unlink(missing_ok=True)


class Shelf:
    """The files of everybody; each sees their own."""

    def __init__(self) -> None:
        self._folder: Path | None = None
        self._cleaning: weakref.finalize[[str, bool], Shelf] | None = None
        self._held: OrderedDict[str, Held] = OrderedDict()
        self._lock = threading.Lock()
        self._numbers = itertools.count()

    def arrival(self, owner: str, name: str) -> Arrival:
        """Begin to take in a file that its user calls `name`."""
        with self._lock:
            if self._folder is None:
                self._folder = Path(tempfile.mkdtemp(prefix="forkwright-"))  # for this user alone
                self._cleaning = weakref.finalize(self, shutil.rmtree, str(self._folder), True)
            path = self._folder / f"{next(self._numbers):06d}"
        held = Held(secrets.token_urlsafe(12), owner, clean_name(name), path)
        return Arrival(self, held, path.open("xb"))

    def add(self, held: Held) -> None:
        """Put a complete file on the shelf; the oldest make room."""
        with self._lock:
            self._held[held.key] = held
            mine = [other for other in self._held.values() if other.owner == held.owner]
            while len(mine) > _FILES_OF_ONE or sum(other.size for other in mine) > _BYTES_OF_ONE:
                self._take_away(mine.pop(0))
            while sum(other.size for other in self._held.values()) > _BYTES_IN_ALL:
                self._take_away(next(iter(self._held.values())))

    def find(self, owner: str, key: str) -> Held:
        """Return a file of this owner.

        Raises
        ------
        InputError
            If there is none of that name, or it is somebody else's; the two are not told apart.
        """
        with self._lock:
            held = self._held.get(key)
            if held is None or not secrets.compare_digest(held.owner.encode(), owner.encode()):
                raise InputError("the server has not got this file any more: bring it in again", key="file")
            self._held.move_to_end(key)
            return held

    def listed(self, owner: str) -> list[Held]:
        """Return this owner's files, the oldest first."""
        with self._lock:
            return [held for held in self._held.values() if held.owner == owner]

    def remove(self, owner: str, key: str) -> None:
        """Take a file off the shelf."""
        held = self.find(owner, key)
        with self._lock:
            self._take_away(held)

    def make_room(self, keep: Held) -> None:
        """Free the memory of files that were not asked for lately; `keep` stays."""
        with self._lock:
            for held in list(self._held.values()):
                if sum(other.values for other in self._held.values()) <= _VALUES_IN_MEMORY:
                    return
                if held is not keep and held.lock.acquire(blocking=False):
                    try:
                        held.forget_readings()
                    finally:
                        held.lock.release()

    def close(self) -> None:
        """Throw everything away."""
        with self._lock:
            self._held.clear()
            if self._cleaning is not None:
                self._cleaning()
            self._folder = None

    def _take_away(self, held: Held) -> None:
        self._held.pop(held.key, None)
        held.path.unlink(missing_ok=True)


def remember_ride(held: Held, key: tuple[object, ...], ride: RideLog) -> None:
    """Keep a ride read from a file; the one asked for least lately makes room."""
    held.rides[key] = ride
    while len(held.rides) > _RIDES_KEPT:
        held.rides.popitem(last=False)


def clean_name(name: str) -> str:
    """Return what a user called a file as one line to show: no folders, no control characters.

    Examples
    --------
    >>> clean_name("..\\\\..\\\\logs/moor ride.csv")
    'moor ride.csv'
    """
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    shown = "".join(letter for letter in last if letter.isprintable())
    return shown.strip()[:_LONGEST_NAME] or "file"


def part_of(tell: Tell, begin: float, end: float) -> Tell:
    """Return a progress call whose 0 to 1 is a part of another's."""
    return lambda share, words: tell(begin + (end - begin) * share, words)


async def _shelf(request: Request) -> Shelf:
    found: Shelf = request.app.state.shelf
    return found


Files = Annotated[Shelf, Depends(_shelf)]
