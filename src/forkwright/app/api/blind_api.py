"""JSON calls of the blind test: planning, and what each link may see and do."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.acts import changes, changes_nothing, opened_by_link
from forkwright.app.blind import seats
from forkwright.app.blind.desk import Desk, Seated, judge_of
from forkwright.app.blind.seen import handed_out, key_shown, seen_by
from forkwright.app.blind.taking import taken
from forkwright.app.drafts import Draft
from forkwright.app.jobs import Progress
from forkwright.app.state import Drafts, Jobs
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer
from forkwright.trial import Options, choices, close_records, open_key, request_from_mapping, size_for
from forkwright.trial import Request as TrialRequest
from forkwright.units import InputError

router = APIRouter(prefix="/api/blind", tags=["blind test"])

Words = Annotated[str, Field(max_length=500)]


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


class _Question(BaseModel):
    model_config = ConfigDict(extra="forbid")


class SizeQuestion(_Question):
    """A request, filled in as far as its size needs."""

    request: Annotated[dict[str, Any], Field(max_length=40)]


class PlanQuestion(SizeQuestion):
    """A request, and the fork that each option is a setting of (null: limits checked by hand)."""

    forks: Annotated[list[Draft | None], Field(max_length=6)]
    seed: int | None = None


class RecordsQuestion(_Question):
    """Records as a phone kept them; sent again until each has its receipt."""

    records: Annotated[list[dict[str, Any]], Field(max_length=500)]


class CardQuestion(_Question):
    """Whose next run; the next of all, if empty."""

    rider: Annotated[str, Field(max_length=60)] = ""


class CloseQuestion(_Question):
    """Why, if answers are missing."""

    reason: Words = ""


class OpenQuestion(_Question):
    """The commitment as printed, if at hand; to break the blind before closing, say so and why."""

    commitment: Annotated[str, Field(max_length=100)] = ""
    break_blind: bool = False
    reason: Words = ""


class OutcomeQuestion(_Question):
    """Whether the Bayesian update is wanted, and from which counts it starts."""

    believe: bool = False
    prior_right: Annotated[float, Field(gt=0.0, lt=1e6)] = 1.0
    prior_wrong: Annotated[float, Field(gt=0.0, lt=1e6)] = 1.0


@router.get("")
def listed(desk: Trials) -> dict[str, Any]:
    """List the trials on this machine by name and state; nothing of what they compare."""
    return {"trials": desk.listed()}


@router.post("/size")
@changes_nothing
def size(question: SizeQuestion, jobs: Jobs, visitor: Visitor) -> dict[str, Any]:
    """Tell how many answers are needed and what they can find; where it is simulated, as a job."""
    request = request_from_mapping(question.request)
    if request.design == "ranked":
        job = jobs.submit(visitor, "Size of a ranked trial", lambda tell: _sized(request, tell))
        return {"job": job.key}
    return _sized(request, None)


@router.post("/plan")
@changes
def plan(question: PlanQuestion, desk: Trials, drafts: Drafts) -> dict[str, Any]:
    """Draw a plan, seal its key, and hand out the links: the mechanic's is not shown again."""
    trial, links = desk.plan(question.request, question.forks, drafts, question.seed)
    return _planned(trial.folder.name, desk, links)


@router.post("/trials/{name}/lead")
@changes
def take_lead(name: str, desk: Trials) -> dict[str, Any]:
    """Hand out the links of a trial that was planned on the command line; works once."""
    trial, links = desk.take_lead(name)
    return _planned(trial.folder.name, desk, links)


@router.get("/seat/{token}")
@opened_by_link("rider", "mechanic")
def seat(seated: Anybody) -> Answer:
    """Return what the person with this link sees: codes, never what is behind them while it is sealed."""
    return Answer(seen_by(seated))


@router.post("/seat/{token}/records")
@changes
@opened_by_link("rider", "mechanic")
def records(question: RecordsQuestion, seated: Anybody) -> dict[str, Any]:
    """Keep records of this person; each gets a receipt, and sending again changes nothing."""
    return {"receipts": taken(seated, question.records)}


@router.post("/seat/{token}/card")
@changes
@opened_by_link("mechanic")
def card(question: CardQuestion, seated: Anybody) -> Answer:
    """Show the mechanic the setting of the next code; it is judged again and logged."""
    if seated.seat.role != "mechanic":
        raise InputError("only the mechanic sees the card", key="link")
    shown = seated.trial.card(seated.seat.person, judge_of(seated.trial), question.rider)
    return Answer(asdict(shown))


@router.post("/seat/{token}/mechanic-link")
@changes
def new_mechanic_link(seated: Leader, desk: Trials) -> dict[str, Any]:
    """Make a new link for the mechanic; the one before stops working, and everybody sees the count."""
    links = desk.new_mechanic_link(seated)
    return {
        "mechanic": seats.token(seated.seat.trial, links.mechanic),
        "mechanic_links": links.mechanic_links,
    }


@router.post("/seat/{token}/close")
@changes
def close(question: CloseQuestion, seated: Leader) -> dict[str, Any]:
    """Close the records for good."""
    missing = close_records(seated.trial, seated.seat.person, question.reason)
    return {"state": seated.trial.state, "missing": list(missing)}


@router.post("/seat/{token}/open")
@changes
def open_trial(question: OpenQuestion, seated: Leader) -> Answer:
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


@router.post("/seat/{token}/outcome")
@changes_nothing
def outcome(question: OutcomeQuestion, seated: Leader, jobs: Jobs, visitor: Visitor) -> dict[str, str]:
    """Analyse an opened trial and set its report, as a job."""
    from forkwright.app.blind.outcome import outcome_of

    trial = seated.trial
    trial.opened_key()  # refuses before the wait
    options = Options(question.believe, (question.prior_right, question.prior_wrong))
    title = f"Analysis of {trial.plan.request.name}"
    return {"job": jobs.submit(visitor, title, lambda tell: outcome_of(trial, options, tell)).key}


def _planned(name: str, desk: Desk, links: seats.Links) -> dict[str, Any]:
    tokens = handed_out(links, name)
    return {"links": tokens, "plan": seen_by(desk.seated(tokens["leader"]))}


def _sized(request: TrialRequest, tell: Progress | None) -> dict[str, Any]:
    found = size_for(request, tell=tell)
    return {
        "size": asdict(found),
        "runs": _runs(request, found.repeats),
        "others": [asdict(one) for one in choices(request)],
        "names_told": _told_names(request),
    }


def _runs(request: TrialRequest, repeats: int) -> int:
    """Return how many runs are ridden in all."""
    options = len(request.options)
    each = {
        "paired": options * (options - 1),
        "triangle": 3,
        "duo-trio": 3,
    }.get(request.design, options)
    return len(request.riders) * repeats * each


def _told_names(request: TrialRequest) -> list[str]:
    """Return the labels that riders would read in the trial's name, its question or a scale."""
    read = " ".join(
        [request.name, request.question, *request.times]
        + [f"{scale.name} {scale.low} {scale.high}" for scale in request.scales]
    ).lower()
    return [label for label in request.labels if label.lower() in read]
