"""Signing in and out. Plain forms, so that nothing but the page itself is needed."""

from __future__ import annotations

import secrets
from typing import Annotated
from urllib.parse import parse_qs

from anyio import to_thread
from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from forkwright.app.acts import asks_itself
from forkwright.app.sharing.asker import address_of
from forkwright.app.sharing.cookies import drop_cookie, read_cookie, set_cookie
from forkwright.app.state import Pages
from forkwright.app.workshop.routes import StoreRoute

LARGEST_FORM = 4096  # bytes
STALE = "This form is no longer fresh; try again."

router = APIRouter(include_in_schema=False, route_class=StoreRoute)


@router.get("/sign-in", response_class=HTMLResponse)
def form(
    request: Request, pages: Pages, goal: Annotated[str, Query(alias="next", max_length=2000)] = "/"
) -> HTMLResponse:
    """Show the sign-in form, with a token that only this browser's cookie fits."""
    return _form(request, pages, goal, "")


@router.post("/sign-in", response_class=HTMLResponse)
@asks_itself
async def sign_in(request: Request, pages: Pages) -> Response:
    """Try a name and password; a new session begins, whatever cookie the browser came with."""
    fields = await _fields(request)
    goal = own_path(fields.get("next", "/"))
    if not _form_is_ours(request, fields):
        return _form(request, pages, goal, STALE, status=403)
    name, password = fields.get("name", ""), fields.get("password", "")
    token, words = await to_thread.run_sync(_try, request, name, password)
    if token is None:
        return _form(request, pages, goal, words, status=403)
    answer = RedirectResponse(goal, status_code=303)
    set_cookie(request, answer, "session", token)
    drop_cookie(request, answer, "form")
    return answer


@router.post("/sign-out")
@asks_itself
async def sign_out(request: Request) -> Response:
    """End the session here and in the store."""
    from forkwright.shop.accounts_sessions import form_token_fits

    token = read_cookie(request, "session")
    fields = await _fields(request)
    if not form_token_fits(token, fields.get("form_token", "")):
        return Response(STALE, status_code=403, media_type="text/plain")
    await to_thread.run_sync(_end, request, token)
    answer = RedirectResponse("/sign-in", status_code=303)
    drop_cookie(request, answer, "session")
    return answer


def own_path(goal: str) -> str:
    """Return a path of this workbench to go on to; anything that could lead elsewhere becomes the start.

    Examples
    --------
    >>> own_path("/jobs/3?a=b"), own_path("//elsewhere"), own_path("/\\\\elsewhere"), own_path("https://x")
    ('/jobs/3?a=b', '/', '/', '/')
    """
    plain = goal.startswith("/") and not goal.startswith(("//", "/\\")) and goal.isprintable()
    return goal if plain and "\\" not in goal else "/"


def _form(request: Request, pages: Pages, goal: str, words: str, status: int = 200) -> HTMLResponse:
    from forkwright.shop.accounts_sessions import form_token

    key = secrets.token_urlsafe(24)
    text = pages.page_text(
        request,
        "workshop/sign_in.html",
        title="Sign in",
        goal=own_path(goal),
        words=words,
        form_token=form_token(key),
        encrypted=request.url.scheme == "https",
    )
    answer = HTMLResponse(text, status_code=status)
    set_cookie(request, answer, "form", key)
    return answer


def _form_is_ours(request: Request, fields: dict[str, str]) -> bool:
    from forkwright.shop.accounts_sessions import form_token_fits

    key = read_cookie(request, "form")
    return bool(key) and form_token_fits(key, fields.get("form_token", ""))


async def _fields(request: Request) -> dict[str, str]:
    """Return the fields of a small form; one that is too large or of another kind has none."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip()
    body = await request.body()
    if kind != "application/x-www-form-urlencoded" or len(body) > LARGEST_FORM:
        return {}
    try:
        found = parse_qs(body.decode("ascii"), keep_blank_values=True, max_num_fields=10, errors="strict")
    except (UnicodeDecodeError, ValueError):
        return {}
    return {name: values[0] for name, values in found.items()}


def _try(request: Request, name: str, password: str) -> tuple[str | None, str]:
    """Try to sign in; a session that the browser still had ends."""
    from forkwright.shop.accounts_sessions import end_session
    from forkwright.shop.accounts_signin import SAME_ANSWER
    from forkwright.shop.accounts_signin import sign_in as try_sign_in

    store = request.app.state.store_door.open()
    old = read_cookie(request, "session")
    with store.change("sign-in") as session:
        found = try_sign_in(
            session, name=name[:64], password=password, address=address_of(request), now=store.clock()
        )
        if found.token is not None and old:
            end_session(session, old)
    return found.token, "" if found.token is not None else SAME_ANSWER


def _end(request: Request, token: str) -> None:
    from forkwright.shop.accounts_sessions import account_of, end_session
    from forkwright.shop.accounts_signin import sign_out as end_and_note

    store = request.app.state.store_door.open()
    with store.change("sign-out") as session:
        account = account_of(session, token, now=store.clock())
        if account is None:
            end_session(session, token)
        else:
            end_and_note(session, account, token, address=address_of(request), now=store.clock())
