"""The Jobs pages: board, job, unit, search, figures; the store opens when asked for."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from forkwright.app.navigation import Page
from forkwright.app.state import Pages
from forkwright.app.workshop import api
from forkwright.app.workshop.desk import Desk
from forkwright.app.workshop.routes import Number, StoreRoute

LARGEST_PICTURE = 20_000_000  # bytes, as the store takes them

PAGE = Page(
    "/jobs",
    "Jobs",
    90,
    "The shop's jobs by what needs doing next, from intake to hand-over",
    body_limits=((api.PICTURES, LARGEST_PICTURE + 1024),),
    group="Shop",
)
router = APIRouter()
pages_router = APIRouter(prefix="/jobs", include_in_schema=False, route_class=StoreRoute)

UnitId = Annotated[str, Path(pattern="^[0-9a-f]{32}$")]

# The sheets of a job, in the order of the work, and the stage from which each is where one goes on.
SHEETS = (
    ("", "Intake"),
    ("inspection", "Inspection"),
    ("work", "Work"),
    ("settings", "Settings"),
    ("handover", "Hand-over"),
)
SHEET_OF_STAGE = {
    "intake": "",
    "inspection": "inspection",
    "waiting": "work",
    "work": "work",
    "check": "settings",
    "ready": "handover",
    "handed over": "handover",
    "cancelled": "",
}


@pages_router.get("", response_class=HTMLResponse)
def board(
    request: Request, pages: Pages, desk: Desk, all_jobs: Annotated[bool, Query(alias="all")] = False
) -> HTMLResponse:
    """Show the board."""
    from forkwright.app.workshop.views import board_view, by_next_action

    with desk.look() as session:
        lines = board_view(session, all_jobs=all_jobs)["jobs"]
    groups = by_next_action(lines, desk.today())
    values: dict[str, Any] = {"groups": groups, "all_jobs": all_jobs, "may": desk.person.may}
    values["sheet_of_stage"] = SHEET_OF_STAGE
    return pages.page(request, "workshop/board.html", title="Jobs", **values)


@pages_router.get("/new", response_class=HTMLResponse)
def new_job(request: Request, pages: Pages, desk: Desk) -> HTMLResponse:
    """Show the intake form."""
    from forkwright.app.workshop.views import known_units

    desk.person.allow("take in")
    with desk.look() as session:
        units = known_units(session)
    return pages.page(request, "workshop/new.html", title="New job", units=units)


@pages_router.get("/search", response_class=HTMLResponse)
def search(
    request: Request, pages: Pages, desk: Desk, words: Annotated[str, Query(max_length=300)] = ""
) -> HTMLResponse:
    """Show what a search finds."""
    from forkwright.app.workshop.views import found

    with desk.look() as session:
        hits = found(session, words)
    return pages.page(request, "workshop/search.html", title="Search", words=words, hits=hits)


@pages_router.get("/figures", response_class=HTMLResponse)
def figures(request: Request, pages: Pages, desk: Desk) -> HTMLResponse:
    """Show the shop's own figures."""
    from forkwright.app.workshop.views import all_figures

    with desk.look() as session:
        values = all_figures(session)
    return pages.page(
        request, "workshop/figures.html", title="The shop's figures", may=desk.person.may, **values
    )


@pages_router.get("/unit/{unit_id}", response_class=HTMLResponse)
def unit(request: Request, unit_id: UnitId, pages: Pages, desk: Desk) -> HTMLResponse:
    """Show a unit's timeline and the versions of its file."""
    from forkwright.app.workshop.views import unit_view

    with desk.look() as session:
        view = unit_view(session, unit_id)
    return pages.page(request, "workshop/unit.html", title=view["name"], unit=view, may=desk.person.may)


@pages_router.get("/{number}/next", response_class=HTMLResponse)
def go_on(number: Number, desk: Desk) -> RedirectResponse:
    """Lead to the sheet on which the job goes on."""
    from forkwright.app.workshop.views import job_sheet

    with desk.look() as session:
        sheet = SHEET_OF_STAGE[job_sheet(session, number)["stage"]]
    return RedirectResponse(f"/jobs/{number}/{sheet}".rstrip("/"), status_code=303)


@pages_router.get("/{number}", response_class=HTMLResponse)
@pages_router.get("/{number}/inspection", response_class=HTMLResponse)
@pages_router.get("/{number}/work", response_class=HTMLResponse)
@pages_router.get("/{number}/settings", response_class=HTMLResponse)
@pages_router.get("/{number}/handover", response_class=HTMLResponse)
def job(request: Request, number: Number, pages: Pages, desk: Desk) -> HTMLResponse:
    """Show the sheet of a job that the address ends with; without one, the intake."""
    from forkwright.app.workshop.views import in_words, inspection_lines, job_sheet, step_cards

    sheet = request.url.path.removeprefix("/jobs/").partition("/")[2]
    values: dict[str, Any] = {
        "sheet": sheet,
        "sheets": SHEETS,
        "may": desk.person.may,
        "lines": [],
        "cards": [],
    }
    with desk.look() as session:
        facts = job_sheet(session, number)
        if sheet == "inspection":
            values["lines"] = inspection_lines(session, facts)
        if sheet in ("work", "handover"):
            values["cards"] = step_cards(session, facts)
    values["obstacles"] = in_words(facts["obstacles"])
    values |= _words_of_the_cards()
    template = f"workshop/job_{sheet or 'intake'}.html"
    return pages.page(request, template, title=f"Job {number}", job=facts, **values)


def _words_of_the_cards() -> dict[str, Any]:
    """Return what stands on the sheets in the words of the step cards, and what is signed for."""
    from forkwright.app.workshop.views import statements
    from forkwright.shop.cards import MANUAL_FIRST, cautions

    return {"cautions": cautions()["first_ride"], "manual_first": MANUAL_FIRST, "statements": statements()}


router.include_router(pages_router)
router.include_router(api.router)
