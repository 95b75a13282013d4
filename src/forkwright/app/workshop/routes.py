"""Routes that touch the store: its troubles become answers in its own words, as a page or as JSON."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import Path, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response
from fastapi.routing import APIRoute

from forkwright.app.failures import error_body
from forkwright.units import InputError

Number = Annotated[int, Path(ge=0, le=2**31 - 1)]
"""A job's number, or a version's, as it stands in an address."""
RecordId = Annotated[str, Path(pattern="^[0-9a-z_]{1,64}$")]
"""What a record, an item of the check list or a picture goes by in an address."""


class StoreRoute(APIRoute):
    """Answers 409 to a conflict, 403 to what a role may not do, 503 to a trouble of the store."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Wrap the usual handler."""
        usual = super().get_route_handler()

        async def handler(request: Request) -> Response:
            try:
                return await usual(request)
            except Exception as error:
                answer = store_failure(request, error)
                if answer is None:
                    raise
                return answer

        return handler


def store_failure(request: Request, error: Exception) -> Response | None:
    """Return the answer to a trouble that is not the server's fault; None for every other error."""
    from forkwright.shop.accounts import NotAllowed
    from forkwright.shop.conflicts import Conflict
    from forkwright.shop.troubles import StoreTrouble

    if isinstance(error, Conflict):
        return JSONResponse(conflict_body(error), status_code=409)
    if isinstance(error, NotAllowed):
        return _refused(request, error, 403)
    if isinstance(error, StoreTrouble):
        return _refused(request, error, 503)
    if isinstance(error, InputError) and _is_page(request):
        return _refused(request, error, 404)
    return None


def conflict_body(conflict: Any) -> dict[str, Any]:
    """Return all that a merge screen needs: who was faster, and each field as both started, mine, theirs."""
    return {
        "error": str(conflict),
        "table": conflict.table,
        "record_id": conflict.record_id,
        "read_version": conflict.read_version,
        "current_version": conflict.current_version,
        "changed_by": conflict.changed_by,
        "fields": [asdict(field) for field in conflict.fields],
    }


def _refused(request: Request, error: Exception, status: int) -> Response:
    if not _is_page(request):
        return JSONResponse(error_body(error), status_code=status)
    words = str(error)
    page = request.app.state.renderer.page_text(
        request, "failure.html", title="That did not work", words=words
    )
    return HTMLResponse(page, status_code=status)


def _is_page(request: Request) -> bool:
    return request.method == "GET" and not request.url.path.startswith("/api")
