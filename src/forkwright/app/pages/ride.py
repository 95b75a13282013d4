"""The Ride page: one setting or two over a course, moving along the trail, with scores, energy and sweeps."""

from __future__ import annotations

import threading
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel, ConfigDict

from forkwright.app.acts import changes_nothing
from forkwright.app.api.shapes import JobTaken
from forkwright.app.drafts import Draft
from forkwright.app.navigation import Page
from forkwright.app.options import MEBIBYTE
from forkwright.app.question import chosen_units, conditions_of
from forkwright.app.ride.answer_shapes import (
    RidableCourse,
    RideAnswer,
    RideReply,
    SettingOnBench,
    SweepAnswer,
)
from forkwright.app.ride.ground import LARGEST_CSV, LONGEST_RIDE, Ground, Grounds, ground_account
from forkwright.app.ride.questions import (
    MOST_SETTINGS,
    RideQuestion,
    SweepQuestion,
)
from forkwright.app.ride.score_words import score_table
from forkwright.app.ride.warmth import KernelWarmth
from forkwright.app.state import Drafts, Jobs, Pages
from forkwright.app.tuning.ride_fields import DAMPING_DATA, ride_options
from forkwright.app.visitors import Visitor
from forkwright.app.wire import Answer
from forkwright.units import InputError, UnitChoice

PAGE = Page(
    "/ride",
    "Ride",
    45,
    "Watch a setting ride a trail, score it, and set it against another",
    body_limits=(("/api/ride", 12 * MEBIBYTE),),
    group="Trail",
)
router = APIRouter()

AT_ONCE = 150.0
"""s of riding that are answered at once when the kernel is ready; longer rides become jobs."""


class BenchQuestion(BaseModel):
    """A unit whose adjusters are wanted."""

    model_config = ConfigDict(extra="forbid")

    fork: Draft
    units: dict[str, str] = {}


class RideParts:
    """What one server keeps for this page."""

    def __init__(self) -> None:
        self.warmth = KernelWarmth()
        self.grounds = Grounds()


_making = threading.Lock()


async def _parts(request: Request) -> RideParts:
    with _making:
        if not hasattr(request.app.state, "ride"):
            request.app.state.ride = RideParts()
    found: RideParts = request.app.state.ride
    return found


Parts = Annotated[RideParts, Depends(_parts)]


@router.get("/ride", response_class=HTMLResponse, include_in_schema=False)
def page(request: Request, pages: Pages, parts: Parts) -> HTMLResponse:
    """Show the page, and make the kernel ready beside it."""
    parts.warmth.begin()
    data = (
        score_table()
        | DAMPING_DATA
        | {
            "most_settings": MOST_SETTINGS,
            "largest_csv": LARGEST_CSV,
            "longest_ride_s": LONGEST_RIDE,
        }
    )
    return pages.page(request, "ride.html", title="Ride", charts=True, data=data)


@router.post("/api/ride/bench", tags=["ride"], response_model=SettingOnBench)
@changes_nothing
def bench(question: BenchQuestion, drafts: Drafts) -> Answer:
    """Tell what a unit is set to and what can be set on it."""
    from forkwright.app.adjusters import adjusters_of
    from forkwright.tune.naming import setting_words

    unit = drafts.unit(question.fork)
    words = setting_words(unit.setting, chosen_units(question.units), unit)
    return Answer({"name": unit.name, "kind": unit.kind, "setting": words, "adjusters": adjusters_of(unit)})


@router.post("/api/ride/course", tags=["ride"], response_model=RidableCourse)
@changes_nothing
def course(choice: Ground, parts: Parts) -> Answer:
    """Read a course file or a measured profile, and tell what it is like, as `forkwright course` does."""
    return Answer(ground_account(parts.grounds.course(choice)))


@router.post("/api/ride", tags=["ride"], response_model=RideReply)
@changes_nothing
def ride(question: RideQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor, parts: Parts) -> Any:
    """Ride one setting, or two over the same ground, as `forkwright ride --json` does.

    A short course is answered at once; a longer one, or the very first ride of a server, is a job.
    """
    from forkwright.app.apart import apart
    from forkwright.app.ride.ride_job import Riders, ride_job
    from forkwright.tune.alike import check_alike

    who = Riders(
        drafts.unit(question.fork),
        drafts.unit(question.against) if question.against is not None else None,
        drafts.rider(question.rider),
        drafts.bike(question.bike),
    )
    if who.against is not None:
        check_alike(who.unit, who.against, "ridden against each other")
    units = _checked(question)
    ground = parts.grounds.course(question.course)
    ridden = ground.duration * (3.0 if question.check_step else 1.0)  # half the step takes twice as long
    long = ridden > AT_ONCE or question.oil_chambers or question.stiffening
    if parts.warmth.ready and not long:
        return Answer(ride_job(who, ground, question, units, lambda _share, _words: None))

    def work(tell: Any) -> dict[str, Any]:
        if long:
            return apart(ride_job, who, ground, question, units, tell=tell)
        parts.warmth.wait(tell)
        return ride_job(who, ground, question, units, tell)

    return {"job": jobs.submit(visitor, f"Ride {who.unit.name} over {ground.name}", work).key}


@router.post("/api/ride/sweep", tags=["ride"], response_model=JobTaken)
@changes_nothing
def sweep(
    question: SweepQuestion, drafts: Drafts, jobs: Jobs, visitor: Visitor, parts: Parts
) -> dict[str, str]:
    """Ride a table of settings over a course, as `forkwright sweep` does; a job's result."""
    from forkwright.app.ride.sweep_job import settings_of, sweep_job

    unit, rider, bike = drafts.unit(question.fork), drafts.rider(question.rider), drafts.bike(question.bike)
    units = _checked(question)
    ground = parts.grounds.course(question.course)
    settings_of(unit, ground, question)  # a wrong range is said before the wait

    def work(tell: Any) -> dict[str, Any]:
        parts.warmth.wait(tell)
        return sweep_job(unit, rider, bike, ground, question, units, tell)

    return {"job": jobs.submit(visitor, f"Sweep {unit.name} over {ground.name}", work).key}


@router.get("/api/ride/jobs/{key}", tags=["ride"], response_model=RideAnswer)
def ride_result(key: str, jobs: Jobs, visitor: Visitor) -> Answer:
    """Return the rides of a finished job."""
    return Answer(_result(jobs, visitor, key, "trail"))


@router.get("/api/ride/sweep/{key}", tags=["ride"], response_model=SweepAnswer)
def sweep_result(key: str, jobs: Jobs, visitor: Visitor) -> Answer:
    """Return the scores of a finished sweep."""
    return Answer(_result(jobs, visitor, key, "columns"))


@router.get("/api/ride/sweep/{key}/scores.{kind}", tags=["ride"], response_class=Response)
def sweep_file(key: str, kind: Literal["csv", "parquet"], jobs: Jobs, visitor: Visitor) -> Response:
    """Return the scores of a finished sweep as a file; a CSV leaves the histograms out."""
    from forkwright.app.ride.sweep_job import as_file

    content = as_file(_result(jobs, visitor, key, "columns")["columns"], kind)
    media = "text/csv" if kind == "csv" else "application/vnd.apache.parquet"
    headers = {"content-disposition": f'attachment; filename="sweep.{kind}"'}
    return Response(content, media_type=media, headers=headers)


def _checked(question: RideQuestion | SweepQuestion) -> UnitChoice:
    """Return the units of a question; a wrong day, tyre or damping is said before any wait."""
    ride_options(question)
    conditions_of(question.day)
    return chosen_units(question.units)


def _result(jobs: Jobs, visitor: str, key: str, holds: str) -> dict[str, Any]:
    job = jobs.find(visitor, key)
    if job.state != "done" or not isinstance(job.result, dict) or holds not in job.result:
        raise InputError(f"the job is {job.state}; it holds no such result", key="job")
    found: dict[str, Any] = job.result
    return found
