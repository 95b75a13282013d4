"""What a call does to what is kept, said at the call itself, so that no list has to be kept of them.

A shared workbench lets read-only accounts ask every call that changes nothing, and refuses them all others: a
call that says nothing is taken to change something. Calls of the shop's book ask for their act themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, TypeVar

from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.routing import Match
from starlette.types import Scope

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

Kind = Literal["changes nothing", "changes", "asks itself"]
Call = TypeVar("Call", bound=Callable[..., Any])


@dataclass(frozen=True)
class Act:
    """What a call does, and whose link opens it without an account.

    Attributes
    ----------
    kind : str or None
        None where nobody has said it.
    links : frozenset of str
        Roles in a blind test ("rider", "mechanic") whose link is enough.
    """

    kind: Kind | None = None
    links: frozenset[str] = frozenset()


def changes_nothing(call: Call) -> Call:
    """Say of a call that it computes from what it is sent and keeps nothing for anybody else."""
    return _said(call, "changes nothing")


def changes(call: Call) -> Call:
    """Say of a call that it changes something that is kept."""
    return _said(call, "changes")


def asks_itself(call: Call) -> Call:
    """Say of a call that it asks by itself what the person's role may do."""
    return _said(call, "asks itself")


def opened_by_link(*roles: str) -> Callable[[Call], Call]:
    """Say of a call that a link of one of these roles opens it, without an account.

    The call's path holds the link's token as ``{token}``; a page without one holds nothing of anybody.
    """

    def mark(call: Call) -> Call:
        call.__dict__["opened_by"] = frozenset(roles)
        return call

    return mark


def act_of(route: Any) -> Act:
    """Return what is said of a route, as FastAPI hands it out."""
    said = getattr(route.endpoint, "__dict__", {})
    return Act(said.get("act"), said.get("opened_by", frozenset()))


def routes_of(app: FastAPI) -> Iterator[Any]:
    """Return every route of an app, also those that came with a router; each has path, methods, endpoint."""
    return _flat(app.routes)


class Acts:
    """Finds what the call behind a request does; the routes are those there are at the first request."""

    def __init__(self, app: FastAPI) -> None:
        self._app = app

    @cached_property
    def _routes(self) -> tuple[Any, ...]:
        return tuple(route for route in routes_of(self._app) if route.methods)

    def of(self, scope: Scope) -> tuple[Act, str]:
        """Return the act of the call that would answer, and the token in its path; nothing said for none."""
        for route in self._routes:
            match, found = route.matches(scope)
            if match is Match.FULL:
                return act_of(route), str(found.get("path_params", {}).get("token", ""))
        return Act(), ""


def _said(call: Call, kind: Kind) -> Call:
    call.__dict__["act"] = kind
    return call


def _flat(entries: Iterable[Any]) -> Iterator[Any]:
    for entry in entries:
        inner = getattr(entry, "effective_route_contexts", None)
        if inner is not None:
            yield from inner()
        elif isinstance(entry, APIRoute) or hasattr(entry, "methods"):
            yield entry
