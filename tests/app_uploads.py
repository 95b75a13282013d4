"""Pictures as no camera writes them: cut short, flipped, glued together, with lying headers."""

from __future__ import annotations

import random
import struct
import zlib
from collections.abc import Iterator

from tests.shop_samples import picture_bytes

KINDS = ("JPEG", "PNG", "WEBP")


def spoiled_uploads(dice: random.Random, number: int) -> Iterator[bytes]:
    """Yield `number` uploads; the same dice give the same uploads."""
    whole = {kind: picture_bytes(kind=kind) for kind in KINDS}
    for _ in range(number):
        content = bytearray(whole[dice.choice(KINDS)])
        yield dice.choice((_cut, _flipped, _glued, _filled, _lying))(dice, content)


def _cut(dice: random.Random, content: bytearray) -> bytes:
    return bytes(content[: dice.randrange(len(content))])


def _flipped(dice: random.Random, content: bytearray) -> bytes:
    for _ in range(dice.randint(1, 30)):
        content[dice.randrange(len(content))] = dice.randrange(256)
    return bytes(content)


def _glued(dice: random.Random, content: bytearray) -> bytes:
    other = picture_bytes(kind=dice.choice(KINDS))
    place = dice.randrange(len(content))
    return bytes(content[:place]) + other[dice.randrange(len(other)) :]


def _filled(dice: random.Random, content: bytearray) -> bytes:
    return bytes(content[:12]) + dice.randbytes(dice.randrange(4000))


def _lying(dice: random.Random, content: bytearray) -> bytes:  # noqa: ARG001 - the others change it
    """A small PNG that says it has any number of pixels up to 2^31."""
    size = struct.pack(">II", dice.randrange(2**31), dice.randrange(2**31)) + bytes((8, 2, 0, 0, 0))
    body = zlib.compress(b"\0" * 100)
    parts = ((b"IHDR", size), (b"IDAT", body), (b"IEND", b""))
    chunks = (
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in parts
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)
