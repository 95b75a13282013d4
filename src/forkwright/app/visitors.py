"""Whose files and jobs a request may see: its browser's, and on a shared workbench those of who is signed in.

Browsers are told apart by a random token in a cookie that no script can read; it names nobody.
"""

from __future__ import annotations

import re
import secrets
from typing import Annotated

from fastapi import Depends, Request, Response

COOKIE = "forkwright_bench"
_TOKEN = re.compile(r"^[A-Za-z0-9_-]{32}$")
_ONE_YEAR = 365 * 24 * 3600


async def visitor_of(request: Request, response: Response) -> str:
    """Return who asks: the browser's token, with the account's name where somebody signed in.

    A tablet of the shop goes from hand to hand: what one person brought in there, the next does not see.
    """
    token = _token_of(request, response)
    person = getattr(request.state, "person", None)
    return token if person is None else f"{token} {person.name}"


def _token_of(request: Request, response: Response) -> str:
    """Return the browser's token; a browser without a sound one is given a new one with this answer."""
    token = request.cookies.get(COOKIE, "")
    if not _TOKEN.match(token):
        token = secrets.token_urlsafe(24)
        response.set_cookie(
            COOKIE,
            token,
            max_age=_ONE_YEAR,
            httponly=True,
            samesite="strict",
            secure=request.url.scheme == "https",
        )
    return token


Visitor = Annotated[str, Depends(visitor_of)]
