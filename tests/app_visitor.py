"""A visitor of a workbench in this process: keeps cookies like a browser, follows no redirect by itself."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import httpx
from anyio.from_thread import BlockingPortal, start_blocking_portal
from fastapi import FastAPI
from tests.app_shapes import as_described

PLACE = "http://127.0.0.1:8713"


class Visitor:
    """Talks to the app, one request at a time; `headers` and `cookies` are those of its client."""

    def __init__(self, portal: BlockingPortal, app: FastAPI, place: str, address: str) -> None:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False, client=(address, 50000))
        self._client = httpx.AsyncClient(transport=transport, base_url=place)
        self._portal = portal
        self._app = app
        self.headers = self._client.headers
        self.cookies = self._client.cookies

    def request(self, method: str, path: str, **more: Any) -> httpx.Response:
        """Send one request."""

        async def once() -> httpx.Response:
            return await self._client.request(method, path, **more)

        return as_described(self._app, method, self._portal.call(once))

    def get(self, path: str, **more: Any) -> httpx.Response:
        """Ask."""
        return self.request("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        """Send."""
        return self.request("POST", path, **more)

    def put(self, path: str, **more: Any) -> httpx.Response:
        """Change."""
        return self.request("PUT", path, **more)

    def delete(self, path: str, **more: Any) -> httpx.Response:
        """Take away."""
        return self.request("DELETE", path, **more)


@contextmanager
def portal() -> Iterator[BlockingPortal]:
    """Give a thread with an event loop for visitors; a browser's own loop may be running beside it."""
    with start_blocking_portal() as started:
        yield started
