"""The two cookies of a shared workbench: the session's, and the one that guards the sign-in form itself."""

from __future__ import annotations

from typing import Literal

from starlette.requests import Request
from starlette.responses import Response

_NAMES = {"session": "forkwright_session", "form": "forkwright_form"}
Cookie = Literal["session", "form"]


def cookie_name(cookie: Cookie, *, encrypted: bool) -> str:
    """Return the cookie's name; under encryption the browser itself holds it to this host and path."""
    return f"__Host-{_NAMES[cookie]}" if encrypted else _NAMES[cookie]


def read_cookie(request: Request, cookie: Cookie) -> str:
    """Return what the browser holds, empty when nothing."""
    return request.cookies.get(cookie_name(cookie, encrypted=_encrypted(request)), "")


def set_cookie(request: Request, response: Response, cookie: Cookie, value: str) -> None:
    """Give the browser a cookie that no script reads, no other site sends, and that dies with the browser."""
    response.set_cookie(
        cookie_name(cookie, encrypted=_encrypted(request)),
        value,
        path="/",
        httponly=True,
        samesite="strict",
        secure=_encrypted(request),
    )


def drop_cookie(request: Request, response: Response, cookie: Cookie) -> None:
    """Take the cookie from the browser."""
    response.delete_cookie(
        cookie_name(cookie, encrypted=_encrypted(request)),
        path="/",
        httponly=True,
        samesite="strict",
        secure=_encrypted(request),
    )


def _encrypted(request: Request) -> bool:
    return request.url.scheme == "https"
