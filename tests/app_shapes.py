"""Holds every answer that a test's client gets against what the API's description says of it."""

from __future__ import annotations

import httpx
from fastapi import FastAPI
from pydantic import TypeAdapter
from starlette.routing import Match

from forkwright.app.acts import routes_of


def as_described(app: FastAPI, method: str, answered: httpx.Response) -> httpx.Response:
    """Return an answer, if the described shape holds it to the letter: every key and value, and no other."""
    kind = answered.headers.get("content-type", "")
    if not answered.is_success or not kind.startswith("application/json"):
        return answered
    shape = _shape_of(app, method, answered.request.url.path)
    if shape is not None:
        body = answered.json()
        read = shape.validate_python(body)
        kept = shape.dump_python(read, mode="json", exclude_unset=True, by_alias=True)
        assert kept == body, f"{method} {answered.request.url.path}: its shape holds something else"
    return answered


def _shape_of(app: FastAPI, method: str, path: str) -> TypeAdapter[object] | None:
    scope = {"type": "http", "method": method, "path": path, "headers": [], "query_string": b""}
    for route in routes_of(app):
        if route.methods and route.matches(scope)[0] is Match.FULL:
            shape = getattr(route, "response_model", None)
            return None if shape is None else TypeAdapter(shape)
    return None
