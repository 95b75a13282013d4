"""Work for an answer that is given up when nobody waits for it any more: a slider that moved on asks anew."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from typing import TypeVar

from fastapi import HTTPException, Request
from starlette.concurrency import run_in_threadpool

Found = TypeVar("Found")
LOOK_EVERY = 0.01  # s


class _NobodyWaitsError(Exception):
    """The browser has closed its question."""


async def while_wanted(request: Request, work: Callable[[Callable[[float], None]], Found]) -> Found:
    """Return what `work` finds, in a thread; the call it is given ends it once the question is closed.

    Raises
    ------
    HTTPException
        Once the question is closed (408); there is nobody left to read it.
    """
    gone = threading.Event()

    def tell(_share: float) -> None:
        if gone.is_set():
            raise _NobodyWaitsError

    async def watch() -> None:
        while not await request.is_disconnected():
            await asyncio.sleep(LOOK_EVERY)
        gone.set()

    watching = asyncio.create_task(watch())
    try:
        return await run_in_threadpool(work, tell)
    except _NobodyWaitsError:
        raise HTTPException(408, "nobody waits for this answer any more") from None
    finally:
        watching.cancel()
