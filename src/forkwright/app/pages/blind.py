"""The Blind test page, and the pages behind the links: the rider's, the leader's and the mechanic's."""

from __future__ import annotations

from io import BytesIO
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from starlette.responses import Response

from forkwright.app.acts import opened_by_link
from forkwright.app.api import blind_api
from forkwright.app.navigation import Page
from forkwright.app.state import Pages

PAGE = Page(
    "/blind",
    "Blind test",
    80,
    "Plan a blind ride test, hand out its links, follow it to its result",
    group="Proof",
)
router = APIRouter()
router.include_router(blind_api.router)

# A rider's page must come up again on a phone that has lost the network: it holds nothing of anybody, so the
# browser may keep it for a day at the trail. Records and codes lie in the phone's storage.
_A_DAY_OUT = "private, max-age=43200"


@router.get("/blind", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page on which trials are planned."""
    return pages.page(request, "blind.html", title="Blind test")


@router.get("/blind/rider", response_class=HTMLResponse, include_in_schema=False)
@opened_by_link("rider")
def rider(request: Request, pages: Pages) -> HTMLResponse:
    """Show the rider's page; whose it is stands behind the # of the link and never reaches this call."""
    answer = pages.page(request, "blind_rider.html", title="Blind test: rider")
    answer.headers["cache-control"] = _A_DAY_OUT
    return answer


@router.get("/blind/lead", response_class=HTMLResponse, include_in_schema=False)
def lead(request: Request, pages: Pages) -> HTMLResponse:
    """Show the leader's page."""
    return pages.page(request, "blind_lead.html", title="Blind test: leader", charts=True)


@router.get("/blind/mechanic", response_class=HTMLResponse, include_in_schema=False)
@opened_by_link("mechanic")
def mechanic(request: Request, pages: Pages) -> HTMLResponse:
    """Show the mechanic's page."""
    return pages.page(request, "blind_mechanic.html", title="Blind test: mechanic")


@router.get("/api/blind/square.svg", tags=["blind test"], response_class=Response)
def square(text: Annotated[str, Query(max_length=400)]) -> Response:
    """Draw a link as a QR code, to be opened by a phone's camera."""
    import segno

    target = BytesIO()
    segno.make(text, error="m", micro=False).save(
        target, kind="svg", scale=4, border=3, dark="#000", light="#fff"
    )
    return Response(target.getvalue(), media_type="image/svg+xml")
