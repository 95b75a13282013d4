"""How often somebody may ask: a bucket that drips full, one for each key, in bounded memory."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

MOST_KEYS = 10_000


@dataclass(frozen=True)
class Rate:
    """So many requests per second in the long run, and so many at once."""

    per_second: float
    at_once: float


class RateLimit:
    """Counts requests by key.

    Parameters
    ----------
    rate : Rate
        What each key may.
    clock : callable
        Seconds that never go back.
    """

    def __init__(self, rate: Rate, clock: Callable[[], float] = time.monotonic) -> None:
        self._rate = rate
        self._clock = clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait(self, key: str) -> float:
        """Count one request; return 0.0 when it may pass, otherwise the seconds (s) until one may.

        Examples
        --------
        >>> limit = RateLimit(Rate(per_second=1.0, at_once=2.0), clock=lambda: 0.0)
        >>> [limit.wait("a"), limit.wait("a"), limit.wait("a"), limit.wait("b")]
        [0.0, 0.0, 1.0, 0.0]
        """
        now = self._clock()
        left, then = self._left.pop(key, (self._rate.at_once, now))
        left = min(self._rate.at_once, left + (now - then) * self._rate.per_second)
        passes = left >= 1.0
        self._left[key] = (left - 1.0 if passes else left, now)
        while len(self._left) > MOST_KEYS:
            self._left.popitem(last=False)
        return 0.0 if passes else (1.0 - left) / self._rate.per_second
