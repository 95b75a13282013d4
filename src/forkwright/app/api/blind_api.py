"""JSON calls of the blind test: planning, and what each link may see and do."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request

from forkwright.app.acts import changes, changes_nothing, opened_by_link
from forkwright.app.api.shapes import JobTaken
from forkwright.app.blind import answer_shapes as shapes
from forkwright.app.blind import questions as ask
from forkwright.app.blind import seats
from forkwright.app.blind.desk import Desk, Seated, judge_of
from forkwright.app.blind.seat_shapes import SeatAnswer
from forkwright.app.blind.seen import handed_out, key_shown, seen_by
from forkwright.app.blind.sizing import sized
from forkwright.app.blind.taking import taken
from forkwright.app.state import Drafts, Jobs
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer
from forkwright.trial import Options, close_records, next_card, open_key, request_from_mapping
from forkwright.units import InputError

router = APIRouter(prefix="/api/blind", tags=["blind test"])


async def _desk(request: Request) -> Desk:
    found: Desk = request.app.state.desk
    return found


def _seated(token: str, desk: Annotated[Desk, Depends(_desk)]) -> Seated:
    return desk.seated(token)


def _leader(seated: Annotated[Seated, Depends(_seated)]) -> Seated:
    if seated.seat.role != "leader":
        raise InputError("only the leader may do this", key="link")
    return seated


Trials = Annotated[Desk, Depends(_desk)]
Anybody = Annotated[Seated, Depends(_seated)]
Leader = Annotated[Seated, Depends(_leader)]


# Planning ---------------------------------------------------------------------------------------------------


@router.get("", response_model=shapes.TrialsAnswer)
def listed(desk: Trials) -> dict[str, Any]:
    """List the trials on this machine by name and state; nothing of what they compare."""
    return {"trials": desk.listed()}


@router.post("/size", response_model=shapes.SizeReply)
@changes_nothing
def size(question: ask.SizeQuestion, jobs: Jobs, visitor: Visitor) -> dict[str, Any]:
    """Tell how many answers are needed and what they can find; where it is simulated, as a job."""
    request = request_from_mapping(question.request)
    if request.design == "ranked":
        job = jobs.submit(visitor, "Size of a ranked trial", lambda tell: sized(request, tell))
        return {"job": job.key}
    return sized(request, None)


@router.post("/plan", response_model=shapes.PlannedAnswer)
@changes
def plan(question: ask.PlanQuestion, desk: Trials, drafts: Drafts) -> Answer:
    """Draw a plan, seal its key, and hand out the links: the mechanic's is not shown again."""
    trial, links = desk.plan(question.request, question.forks, drafts, question.seed)
    return _planned(trial.folder.name, desk, links)


@router.post("/trials/{name}/lead", response_model=shapes.PlannedAnswer)
@changes
def take_lead(name: str, desk: Trials) -> Answer:
    """Hand out the links of a trial that was planned on the command line; works once."""
    trial, links = desk.take_lead(name)
    return _planned(trial.folder.name, desk, links)


# Every link -------------------------------------------------------------------------------------------------


@router.get("/seat/{token}", response_model=SeatAnswer)
@opened_by_link("rider", "mechanic")
def seat(seated: Anybody) -> Answer:
    """Return what the person with this link sees: codes, never what is behind them while it is sealed."""
    return Answer(seen_by(seated))


@router.post("/seat/{token}/records", response_model=shapes.ReceiptsAnswer)
@changes
@opened_by_link("rider", "mechanic")
def records(question: ask.RecordsQuestion, seated: Anybody) -> dict[str, Any]:
    """Keep records of this person; each gets a receipt, and sending again changes nothing."""
    return {"receipts": taken(seated, question.records)}


@router.post("/seat/{token}/card", response_model=shapes.CardAnswer)
@changes
@opened_by_link("mechanic")
def card(question: ask.CardQuestion, seated: Anybody) -> Answer:
    """Show the mechanic the setting of the next code; it is judged again and logged."""
    if seated.seat.role != "mechanic":
        raise InputError("only the mechanic sees the card", key="link")
    shown = next_card(seated.trial, seated.seat.person, judge_of(seated.trial), question.rider)
    return Answer(asdict(shown))


# The leader's link ------------------------------------------------------------------------------------------


@router.post("/seat/{token}/mechanic-link", response_model=shapes.MechanicLinkAnswer)
@changes
def new_mechanic_link(seated: Leader, desk: Trials) -> dict[str, Any]:
    """Make a new link for the mechanic; the one before stops working, and everybody sees the count."""
    links = desk.new_mechanic_link(seated)
    return {
        "mechanic": seats.token(seated.seat.trial, links.mechanic),
        "mechanic_links": links.mechanic_links,
    }


@router.post("/seat/{token}/rider-link", response_model=shapes.RiderLinkAnswer)
@changes
def new_rider_link(question: ask.RiderLinkQuestion, seated: Leader, desk: Trials) -> dict[str, Any]:
    """Make a new link for a rider; the one before stops working, and rider and leader see the count."""
    rider, links = question.rider, desk.new_rider_link(seated, question.rider)
    return {
        "rider": rider,
        "link": seats.token(seated.seat.trial, links.riders[rider]),
        "link_count": links.given_to(rider),
    }


@router.post("/seat/{token}/close", response_model=shapes.ClosedAnswer)
@changes
def close(question: ask.CloseQuestion, seated: Leader) -> dict[str, Any]:
    """Close the records for good."""
    missing = close_records(seated.trial, seated.seat.person, question.reason)
    return {"state": seated.trial.state, "missing": list(missing)}


@router.post("/seat/{token}/open", response_model=shapes.OpenedAnswer)
@changes
def open_trial(question: ask.OpenQuestion, seated: Leader) -> Answer:
    """Open the key, held against its commitment; logged and final."""
    opened = open_key(
        seated.trial,
        seated.seat.person,
        printed_commitment=question.commitment,
        break_blind=question.break_blind,
        reason=question.reason,
    )
    return Answer(
        key_shown(opened.key.model_dump(mode="json"))
        | {
            "state": seated.trial.state,
            "commitment": seated.trial.plan.commitment,
            "draw_repeats": opened.draw_repeats,
            "broken_blind": opened.broken_blind,
            "warnings": list(seated.trial.tampering()),
        }
    )


@router.post("/seat/{token}/outcome", response_model=JobTaken)
@changes_nothing
def outcome(question: ask.OutcomeQuestion, seated: Leader, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Analyse an opened trial and set its report, as a job."""
    from forkwright.app.blind.outcome import outcome_of

    trial = seated.trial
    trial.opened_key()  # refuses before the wait
    options = Options(question.believe, (question.prior_right, question.prior_wrong))
    title = f"Analysis of {trial.plan.request.name}"
    return {"job": jobs.submit(visitor, title, lambda tell: outcome_of(trial, options, tell)).key}


def _planned(name: str, desk: Desk, links: seats.Links) -> Answer:
    tokens = handed_out(links, name)
    return Answer({"links": tokens, "plan": seen_by(desk.seated(tokens["leader"]))})
