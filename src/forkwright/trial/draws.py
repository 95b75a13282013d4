"""Random draws that anyone can repeat, on any machine and with any library, from what is written down.

The seed is printed with the plan; the salt lies sealed with the key. Codes and the riders' order come from
the seed alone. Which option hides behind which code needs seed and salt together, so that the printed seed
gives nothing away, and once the key is open everybody can repeat the draw and see that nobody chose it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import TypeVar

Thing = TypeVar("Thing")

_WORD = 8  # bytes to a draw


class Draws:
    """A stream of fair draws made from SHA-256 over the seed, the salt, the purpose and a counter.

    Parameters
    ----------
    seed : int
        The printed seed, dimensionless.
    purpose : str
        What is drawn; two purposes give two independent streams.
    salt : bytes
        The sealed salt; empty for what may be public.

    Examples
    --------
    >>> Draws(7, "demo").shuffled([1, 2, 3]) == Draws(7, "demo").shuffled([1, 2, 3])
    True
    """

    def __init__(self, seed: int, purpose: str, salt: bytes = b"") -> None:
        self._words = _words(f"{seed}|{purpose}|".encode() + salt)

    def below(self, limit: int) -> int:
        """Return a whole number from 0 to `limit` - 1 (dimensionless), each equally likely."""
        if limit < 1:
            raise ValueError(f"nothing can be drawn below {limit}")
        span = 1 << (8 * _WORD)
        fair = span - span % limit  # beyond this a remainder would favour the small numbers: draw again
        return next(word for word in self._words if word < fair) % limit

    def shuffled(self, things: Sequence[Thing]) -> list[Thing]:
        """Return the things in random order, each order equally likely (Fisher and Yates)."""
        order = list(things)
        for last in range(len(order) - 1, 0, -1):
            other = self.below(last + 1)
            order[last], order[other] = order[other], order[last]
        return order


def _words(start: bytes) -> Iterator[int]:
    counter = 0
    while True:
        digest = hashlib.sha256(start + b"|" + str(counter).encode()).digest()
        for place in range(0, len(digest), _WORD):
            yield int.from_bytes(digest[place : place + _WORD], "big")
        counter += 1
