"""From where a request comes."""

from __future__ import annotations

from starlette.requests import Request


def address_of(request: Request) -> str:
    """Return the network address that asks, as the server sees it; empty when there is none."""
    return request.client.host if request.client else ""
