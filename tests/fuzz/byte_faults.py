"""Spoil bytes: flips, cuts, pieces moved and doubled, and, where they are text, the faults of hands."""

from __future__ import annotations

import random

from tests.fuzz.spoiling import spoiled

WORDS = (
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\r\n", b'"', b",", b";", b"=1+1", b"nan", b"1e999", b"[" * 300,
    b"[" * 100_000, b"{" * 300, b"-", b"\xc3", b"9" * 400, b"\n" * 50, b"PK\x03\x04", b"<!ENTITY x 'y'>",
)  # fmt: skip


def spoiled_bytes(data: bytes, seed: int) -> bytes:
    """Return the bytes with a few faults, never as they were; the same seed makes the same faults.

    Parameters
    ----------
    data : bytes
        A sound file.
    seed : int
        Decides what is done.
    """
    chance = random.Random(seed)
    if chance.random() < 0.6:
        try:
            return spoiled(data.decode("utf-8"), seed).encode("utf-8", "surrogatepass")
        except UnicodeDecodeError:
            pass
    found = bytearray(data)
    while found == data:
        for _ in range(chance.choice((1, 1, 2, 8))):
            _spoil(found, chance)
    return bytes(found)


def _spoil(found: bytearray, chance: random.Random) -> None:
    place, length = chance.randrange(len(found) + 1), chance.randrange(1, 64)
    way = chance.randrange(6)
    if way == 0 and place < len(found):
        found[place] ^= 1 << chance.randrange(8)
    elif way == 1:
        del found[place : place + length]
    elif way == 2:
        found[place:place] = chance.choice(WORDS)
    elif way == 3:
        found[place:place] = found[max(0, place - length) : place]
    elif way == 4:
        del found[place:]
    else:
        found[place : place + length] = chance.randbytes(min(length, 8))
