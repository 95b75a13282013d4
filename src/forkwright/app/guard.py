"""What stands between the network and the pages: secure headers, own site only, bounded request bodies.

All three are plain ASGI wrappers, so that they add microseconds and no buffering.
"""

from __future__ import annotations

import ipaddress
import json
from collections.abc import Mapping
from contextlib import suppress
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# The one inline style that is allowed is the empty one: the plotting library adds an empty style element and
# fills it through the object model. The value is the SHA-256 of no bytes at all.
_EMPTY_STYLE = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"

_CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        f"style-src 'self' {_EMPTY_STYLE}",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "font-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)

_SECURE = {
    "content-security-policy": _CONTENT_POLICY,
    "x-content-type-options": "nosniff",
    # With "no-referrer" browsers send a form of ours with no origin at all, and it would be refused.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), usb=(), payment=()",
}

# Among the allowed hosts: whichever network address of this machine a browser has typed.
ANY_ADDRESS = "(any address)"

_SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


class SecureHeaders:
    """Put the security headers on every answer; answers that do not say otherwise are not to be stored."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and complete the headers of the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _SECURE.items():
                    headers.setdefault(name, value)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        await self.app(scope, receive, send_with_headers)


class SameSite:
    """Refuse requests under a foreign host name, and changes asked for by a foreign page."""

    def __init__(self, app: ASGIApp, hosts: tuple[str, ...]) -> None:
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 400 to a foreign host and 403 to a foreign origin; pass everything else on."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if "*" not in self.hosts and not self._answers_to(_host_name(f"//{host}")):
            await _refuse(send, 400, "this workbench does not answer to that host name")
            return
        origin = headers.get("origin")
        changes = scope["type"] == "websocket" or scope["method"] not in _SAFE_METHODS
        if changes and origin is not None and urlsplit(origin).netloc.lower() != host.lower():
            await _refuse(send, 403, "another site asked for this; only the workbench's own pages may")
            return
        await self.app(scope, receive, send)

    def _answers_to(self, name: str) -> bool:
        """Whether a browser may call this server by that name; an address cannot be turned elsewhere."""
        return name in self.hosts or (ANY_ADDRESS in self.hosts and _is_address(name))


class BodyLimit:
    """Refuse a request body over the limit, whether its length is announced or it just keeps coming."""

    def __init__(self, app: ASGIApp, limit: int, larger: Mapping[str, int]) -> None:
        self.app = app
        self.limit = limit
        self.larger = dict(larger)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 413 instead of reading on once the body has grown too large."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        limit = self._limit_for(scope["path"])
        announced = Headers(scope=scope).get("content-length", "0")
        if not announced.isdecimal() or int(announced) > limit:
            await _refuse(send, 413, _too_large(limit))
            return
        seen = 0
        refused = False

        async def counted_receive() -> Message:
            nonlocal seen, refused
            message = await receive()
            if message["type"] == "http.request":
                seen += len(message.get("body", b""))
                if seen > limit:
                    refused = True
                    raise _TooLargeError
            return message

        async def send_unless_refused(message: Message) -> None:
            if not refused:
                await send(message)

        with suppress(_TooLargeError):  # whatever the app makes of it, the answer is ours
            await self.app(scope, counted_receive, send_unless_refused)
        if refused:
            await _refuse(send, 413, _too_large(limit))

    def _limit_for(self, path: str) -> int:
        fitting = [limit for prefix, limit in self.larger.items() if path.startswith(prefix)]
        return max(fitting, default=self.limit)


class _TooLargeError(Exception):
    """The body has passed the limit while being read."""


def _too_large(limit: int) -> str:
    return f"the request is larger than {limit} bytes, which is the most this page takes"


def _host_name(address: str) -> str:
    try:
        return (urlsplit(address).hostname or "").lower()
    except ValueError:
        return ""


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


async def _refuse(send: Send, status: int, words: str) -> None:
    body = json.dumps({"error": words}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
