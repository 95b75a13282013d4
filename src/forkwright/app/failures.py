"""Errors as answers: wrong input is 422 in the command line's words, a fault of ours a bare 500."""

from __future__ import annotations

import logging
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from starlette.exceptions import HTTPException

from forkwright.physics import Unphysical
from forkwright.units import InputError

_LOG = logging.getLogger("forkwright.app")


def install(app: FastAPI) -> None:
    """Register the error answers on `app`."""
    app.add_exception_handler(InputError, _wrong_input)
    app.add_exception_handler(Unphysical, _unphysical)
    app.add_exception_handler(RequestValidationError, _wrong_request)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(Exception, _our_fault)


def error_body(error: Exception) -> dict[str, Any]:
    """Return the JSON of an error: its whole sentence, and its parts where the page can point at the field.

    Examples
    --------
    >>> error_body(InputError("too large", key="travel", value="9 m"))["error"]
    "travel: too large; got '9 m'"
    """
    if not isinstance(error, InputError):
        return {"error": _sendable(str(error))}
    parts = {name: getattr(error, name) for name in ("message", "file", "line", "key", "value", "allowed")}
    found = {"error": str(error), **{name: part for name, part in parts.items() if part is not None}}
    return {name: _sendable(part) if isinstance(part, str) else part for name, part in found.items()}


def _sendable(text: str) -> str:
    """Return a text with a mark for each half letter: what was typed wrong is quoted in the error."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _wrong_input(_: Request, error: Exception) -> Response:
    return JSONResponse(error_body(error), status_code=422)


def _unphysical(_: Request, error: Exception) -> Response:
    return JSONResponse(error_body(error), status_code=422)


def _wrong_request(_: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    key = ".".join(str(part) for part in first["loc"] if part != "body")
    words = InputError(f"the request is not as documented: {first['msg']}", key=key or None)
    return JSONResponse(error_body(words), status_code=422)


def _http_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = "there is no such page" if error.status_code == 404 else str(error.detail)
    if _wants_page(request):
        page = request.app.state.renderer.page_text(request, "failure.html", title=words, words=words)
        return HTMLResponse(page, status_code=error.status_code)
    return JSONResponse({"error": words}, status_code=error.status_code, headers=error.headers)


def _our_fault(request: Request, error: Exception) -> Response:
    _LOG.error("fault while answering %s", request.url.path, exc_info=error)
    words = "a fault of ours, not of your input; what you typed is kept, and the server's log says more"
    return JSONResponse({"error": words}, status_code=500)


def _wants_page(request: Request) -> bool:
    return "text/html" in request.headers.get("accept", "") and not request.url.path.startswith("/api")
