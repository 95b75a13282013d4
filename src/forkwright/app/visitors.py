"""Telling browsers apart: a random token in a cookie that no script can read. It names nobody."""

from __future__ import annotations

import re
import secrets
from typing import Annotated

from fastapi import Depends, Request, Response

COOKIE = "forkwright_bench"
_TOKEN = re.compile(r"^[A-Za-z0-9_-]{32}$")
_ONE_YEAR = 365 * 24 * 3600


async def token_of(request: Request, response: Response) -> str:
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


Visitor = Annotated[str, Depends(token_of)]
