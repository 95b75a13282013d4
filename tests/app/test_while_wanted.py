"""Work for an answer ends soon after its question is closed, and not before."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from fastapi import HTTPException

from forkwright.app.while_wanted import while_wanted


class Asked:
    """A question that is closed after it was looked at so many times."""

    def __init__(self, looks: int) -> None:
        self.left = looks

    async def is_disconnected(self) -> bool:
        """Say whether it is closed."""
        self.left -= 1
        return self.left < 0


def steps(count: int, done: list[int]) -> Callable[[Callable[[float], None]], str]:
    """Return work of so many steps of 5 ms, each of which is told and noted."""

    def work(tell: Callable[[float], None]) -> str:
        for number in range(count):
            time.sleep(0.005)
            tell(number / count)
            done.append(number)
        return "found"

    return work


def run(asked: Any, work: Callable[[Callable[[float], None]], str]) -> str:
    """Wait for the answer in a thread without an event loop of its own (the browser's tests leave one)."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(lambda: asyncio.run(while_wanted(asked, work))).result()


def test_a_closed_question_ends_the_work() -> None:
    """Of a thousand steps only those before the closing are done."""
    asked: Any = Asked(2)
    done: list[int] = []
    with pytest.raises(HTTPException):
        run(asked, steps(1000, done))
    assert len(done) < 100


def test_an_open_question_is_answered() -> None:
    """Nothing is lost where the browser waits."""
    asked: Any = Asked(10_000)
    done: list[int] = []
    assert run(asked, steps(20, done)) == "found"
    assert len(done) == 20
