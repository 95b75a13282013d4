"""Answers that go over a network are compressed; what stays on this machine would only be slowed down."""

from __future__ import annotations

from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

_HERE = ("127.0.0.1", "::1")
_SMALLEST = 1500  # bytes, about one packet


class CompressAbroad:
    """Compresses what is asked for from another machine."""

    def __init__(self, app: ASGIApp) -> None:
        self._plain = app
        self._compressed = GZipMiddleware(app, minimum_size=_SMALLEST, compresslevel=1)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, one way or the other."""
        asker = scope.get("client")
        away = asker is None or asker[0] not in _HERE
        await (self._compressed if away else self._plain)(scope, receive, send)
