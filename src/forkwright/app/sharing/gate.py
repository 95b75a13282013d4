"""The gate of a shared workbench: every page and every call needs a session, every change its form token.

What is let through without signing in: the sign-in itself, the static files, the sign of life, and what the
link of a blind test opens (see `links`). What a call does to what is kept is said at the call (see `acts`).
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import quote

from anyio import to_thread
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from forkwright.app.acts import SAFE_METHODS, Act, Acts
from forkwright.app.sharing.asker import address_of
from forkwright.app.sharing.cookies import read_cookie
from forkwright.app.sharing.rates import Rate, RateLimit
from forkwright.app.workshop.people import Person

if TYPE_CHECKING:
    from forkwright.app.sharing.links import LinkRight
    from forkwright.app.workshop.door import StoreDoor

FORM_HEADER = "x-form-token"
OPEN_PATHS = frozenset({"/sign-in", "/api/health"})
OWN_TOKEN_PATHS = frozenset(
    {"/sign-in", "/sign-out"}
)  # forms without script: they carry the token as a field

SIGNED_IN = Rate(per_second=120.0, at_once=600.0)  # a dragged slider asks up to 60 times a second
STRANGER = Rate(per_second=2.0, at_once=40.0)


@dataclass(frozen=True)
class Refusal:
    """Why a request does not pass."""

    status: int
    words: str
    retry_after: float = 0.0


TOO_MANY = "too many requests; wait a moment"
_NO_LINK = Refusal(401, "this link belongs to nobody here; ask for a new one, or sign in first")
_NO_SESSION = Refusal(401, "sign in first")


class Gate:
    """Let a request pass only with a session; put the person into the request's state."""

    def __init__(self, app: ASGIApp, door: StoreDoor, links: LinkRight, acts: Acts, static: str) -> None:
        self.app = app
        self._door = door
        self._links = links
        self._acts = acts
        self._static = static
        self._people = RateLimit(SIGNED_IN)
        self._strangers = RateLimit(STRANGER)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 401, 403, 429 or 503 in words (a page leads to the sign-in)."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # there is nothing else here to talk to
        request = Request(scope)
        path = scope["path"]
        if path.startswith(f"{self._static}/"):
            await self.app(scope, receive, send)
            return
        act, token = self._acts.of(scope)
        person: Person | None = None
        try:
            refusal, person = await self._by_link(request, act, token)
            if refusal is None and person is None:
                person = await self._person(request)
                refusal = self._refusal(request, person, act)
        except Exception as error:
            refusal = _trouble(error)
            if refusal is None:
                raise
        if refusal is None:
            scope.setdefault("state", {})["person"] = person
            await self.app(scope, receive, send)
        elif refusal.status == 401 and _wants_page(request):
            await _to_sign_in(request, send)
        elif refusal.status == 503 and _wants_page(request):
            await _page_of(refusal, request)(scope, receive, send)
        else:
            await _answer(send, refusal)

    async def _by_link(self, request: Request, act: Act, token: str) -> tuple[Refusal | None, Person | None]:
        """Return who comes by a link that opens this call: a person without any right in the shop's book."""
        if not act.links or not token:
            return None, None
        address = address_of(request)
        wait = self._links.wait(token, address)
        if wait > 0.0:
            return Refusal(429, TOO_MANY, wait), None
        seat = await to_thread.run_sync(self._links.holder, token, act.links, address)
        return None, None if seat is None else Person(seat.person, f"{seat.role} by link")

    async def _person(self, request: Request) -> Person | None:
        token = read_cookie(request, "session")
        if not token or len(token) > 100:
            return None
        return await to_thread.run_sync(person_of, self._door, token)

    def _refusal(self, request: Request, person: Person | None, act: Act) -> Refusal | None:
        path, changes = request.url.path, request.method not in SAFE_METHODS
        if person is None:
            wait = self._strangers.wait(address_of(request))
            if wait > 0.0:
                return Refusal(429, TOO_MANY, wait)
            if path in OPEN_PATHS or _empty_page(request, act):
                return None
            return _NO_LINK if act.links else _NO_SESSION
        wait = self._people.wait(person.form_token)
        if wait > 0.0:
            return Refusal(429, TOO_MANY, wait)
        if not changes or path in OWN_TOKEN_PATHS:
            return None
        if not _token_fits(person, request.headers.get(FORM_HEADER, "")):
            return Refusal(403, "this request does not carry this session's form token; load the page again")
        return _role_refusal(person, act)


def person_of(door: StoreDoor, token: str) -> Person | None:
    """Return whose session the token is, and note its use now and then; None when there is no such session.

    Raises
    ------
    StoreTrouble
        The store cannot be read.
    """
    from forkwright.shop.accounts_sessions import account_of, form_token, needs_noting, note_use
    from forkwright.shop.troubles import StoreTrouble

    store = door.open()
    with store.look() as session:
        account = account_of(session, token, now=store.clock())
        noting = account is not None and needs_noting(session, token, now=store.clock())
    if account is None:
        return None
    if noting:
        try:
            with store.change(account.name) as session:
                note_use(session, token, now=store.clock())
        except StoreTrouble:
            pass  # the session only seems idle for longer; the request itself can go on
    return Person(account.name, account.role, form_token(token))


def _role_refusal(person: Person, act: Act) -> Refusal | None:
    """Refuse what a role may not change; a call of which nothing is said is taken to change something."""
    if act.kind in ("changes nothing", "asks itself") or "note" in person.may:
        return None
    return Refusal(403, f"{person.name} ({person.role}) may not change anything")


def _empty_page(request: Request, act: Act) -> bool:
    """Whether this is the page behind a link: it holds nothing of anybody, and the token never comes here."""
    return bool(act.links) and request.method in SAFE_METHODS and request.url.path.startswith("/blind/")


def _token_fits(person: Person, given: str) -> bool:
    import hmac

    return hmac.compare_digest(person.form_token.encode(), given.encode("utf-8", "surrogatepass"))


def _trouble(error: Exception) -> Refusal | None:
    from forkwright.shop.troubles import StoreTrouble

    return Refusal(503, str(error)) if isinstance(error, StoreTrouble) else None


def _wants_page(request: Request) -> bool:
    page = "text/html" in request.headers.get("accept", "") and not request.url.path.startswith("/api")
    return request.method == "GET" and page


async def _to_sign_in(request: Request, send: Send) -> None:
    query = f"?{request.url.query}" if request.url.query else ""
    goal = f"/sign-in?next={quote(request.url.path + query, safe='')}".encode()
    await send({"type": "http.response.start", "status": 303, "headers": [(b"location", goal)]})
    await send({"type": "http.response.body", "body": b""})


def _page_of(refusal: Refusal, request: Request) -> HTMLResponse:
    words = {"title": "That did not work", "words": refusal.words}
    page = request.app.state.renderer.page_text(request, "failure.html", **words)
    return HTMLResponse(page, status_code=refusal.status)


async def _answer(send: Send, refusal: Refusal) -> None:
    body = json.dumps({"error": refusal.words}).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    if refusal.retry_after > 0.0:
        headers.append((b"retry-after", str(math.ceil(refusal.retry_after)).encode()))
    await send({"type": "http.response.start", "status": refusal.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
