"""The Balance page: fork and shock on one bike, how they go together, and what to change at one end.

The benches of both ends take a moment to import: that is done when first asked.
"""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.navigation import Page
from forkwright.app.question import chosen_units, conditions_of
from forkwright.app.rear.balance_questions import BalanceQuestion, BothRideQuestion, options_of, read_units
from forkwright.app.rear.shapes import BalanceAnswer, ToldAdvice
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer

PAGE = Page(
    "/balance",
    "Balance",
    57,
    "Fork and shock together: sag, frequencies, damping, attitude, and what to change",
    group="Set-up",
)
router = APIRouter()


@router.get("/balance", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages) -> HTMLResponse:
    """Show the page."""
    return pages.page(request, "balance.html", title="Balance", charts=True)


@router.post("/api/balance", tags=["rear"], response_model=BalanceAnswer)
@changes_nothing
def read(question: BalanceQuestion, drafts: Drafts) -> Answer:
    """Read both ends as they are set, and how the bike stands under what is held."""
    from forkwright.app.rear.balance_page import rest_answer

    return Answer(rest_answer(*read_units(question, drafts), question, chosen_units(question.units)))


@router.post("/api/balance/advice", tags=["rear"], response_model=ToldAdvice)
@changes_nothing
def advice(question: BalanceQuestion, drafts: Drafts) -> Answer:
    """Say what to change at one end so that it goes with the other, as `forkwright balance` does."""
    from forkwright.app.rear.balance_page import told_advice

    return Answer(told_advice(*read_units(question, drafts), question, chosen_units(question.units)))


@router.post("/api/balance/ride", tags=["rear"], response_model=JobTaken)
@changes_nothing
def ride(question: BothRideQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Ride both ends over a course for the drift of the ride heights; a job's result."""
    from forkwright.app.rear.balance_page import ride_job
    from forkwright.app.tuning.courses import chosen

    fork, shock, rider, bike = read_units(question, drafts)
    units, course = chosen_units(question.units), chosen(question.course)
    options_of(question)
    conditions_of(question.day)
    job = jobs.submit(
        visitor,
        f"Ride {fork.name} and {shock.name} together",
        lambda tell: ride_job(fork, shock, rider, bike, course, question, units, tell),
    )
    return {"job": job.key}
