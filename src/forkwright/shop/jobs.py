"""A job's way from intake to hand-over: which step may follow which, and what still stands in the way."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from forkwright.shop.columns import Clock, wall_clock
from forkwright.shop.records import Counter, Unit
from forkwright.shop.records_job import Finding, Job, SettingRecord, Signature
from forkwright.shop.service import NextService
from forkwright.shop.store import add, find
from forkwright.shop.typed import check_riding_hours, check_typed
from forkwright.units import InputError

MOVES: dict[str, tuple[str, ...]] = {
    "intake": ("inspection", "cancelled"),
    "inspection": ("waiting", "work", "cancelled"),
    "waiting": ("work", "cancelled"),
    "work": ("waiting", "inspection", "check", "cancelled"),
    "check": ("work", "ready"),
    "ready": ("work", "handed over"),
    "handed over": ("work",),
    "cancelled": ("intake",),
}


def open_job(
    session: Session,
    unit: Unit,
    *,
    complaint: str = "",
    rider_name: str = "",
    rider_mass: str = "",
    rider_manner: str = "",
    riding_hours: float | None = None,
    due_on: date | None = None,
) -> Job:
    """Take in a unit for work, under the next job number.

    Parameters
    ----------
    rider_mass : str
        Ready to ride, with its unit.
    riding_hours : float, optional
        h since the last service, as the customer tells it.

    Raises
    ------
    InputError
        A quantity that cannot be read, or hours out of range.
    """
    check_typed(rider_mass, "mass", "rider_mass")
    check_riding_hours(riding_hours)
    job = Job(
        number=_next_number(session),
        unit_id=unit.id,
        customer_id=unit.customer_id,
        bike_id=unit.bike_id,
        complaint=complaint,
        rider_name=rider_name,
        rider_mass=rider_mass,
        rider_manner=rider_manner,
        riding_hours=None if riding_hours is None else float(riding_hours),
        due_on=due_on,
    )
    return add(session, job)


def job_by_number(session: Session, number: int) -> Job:
    """Return the job of that number.

    Raises
    ------
    InputError
        There is none.
    """
    job = session.scalars(select(Job).where(Job.number == number)).first() if abs(number) < 2**31 else None
    if job is None:
        raise InputError("there is no such job", key="number", value=str(number))
    return job


def move(session: Session, job: Job, stage: str) -> None:
    """Bring a job to its next stage. Handing over has its own call, `hand_over`.

    Raises
    ------
    InputError
        No such stage, or not one that may follow.
    """
    if stage == "handed over":
        raise InputError("a job is handed over with its signatures", key="stage", value=stage)
    _step(session, job, stage)


def conclude(session: Session, job: Job, *, work_done: str = "", service: NextService | None = None) -> None:
    """Write down what was done and when to come back; sign after this, since signatures stand for it.

    Parameters
    ----------
    work_done : str
        What was done, in the customer's words; kept as it is when empty.
    service : NextService, optional
        When to come back; kept as it is when None.
    """
    if work_done:
        job.work_done = work_done
    if service is not None:
        job.next_service_hours = None if service.hours is None else float(service.hours)
        job.next_service_on = service.on
        job.next_service_reason = service.reason
    session.flush()


def hand_over(session: Session, job: Job) -> None:
    """Close a job that nothing stands in the way of (`obstacles`).

    Raises
    ------
    InputError
        Naming every obstacle.
    """
    standing_in_the_way = obstacles(session, job)
    if standing_in_the_way:
        raise InputError(
            f"job {job.number} cannot be handed over yet: " + "; ".join(standing_in_the_way), key="job"
        )
    job.closed_at = _clock(session)()
    _step(session, job, "handed over")


def obstacles(session: Session, job: Job) -> tuple[str, ...]:
    """Return what must still happen before the unit may go back to its rider, in the order of the work."""
    findings = list(session.scalars(select(Finding).where(Finding.job_id == job.id).order_by(Finding.item)))
    found: list[str] = []
    unseen = _structural_unseen(session, job, findings)
    if unseen:
        found.append(f"structural parts not looked at: {', '.join(unseen)}")
    for finding in findings:
        if finding.result == "stop" and not finding.resolved:
            found.append(f"structural damage is open ({finding.item}): the unit must not be ridden")
        elif finding.result == "worn" and not finding.resolved:
            found.append(f"worn and not settled ({finding.item})")
    after = select(SettingRecord.id).where(SettingRecord.job_id == job.id, SettingRecord.moment == "after")
    if session.scalars(after).first() is None:
        found.append("the setting it leaves with is not written down")
    if not technician_stands_for_it(session, job):
        found.append("the technician has not signed for it as it stands now")
    if job.stage != "ready":
        found.append(f"it stands at '{job.stage}', not at 'ready'")
    return tuple(found)


def next_action(session: Session, job: Job) -> str:
    """Return what needs doing next, in a few words for the board."""
    if job.stage == "check" and not technician_stands_for_it(session, job):
        return "check against the card, then sign"
    return {
        "intake": "talk through the complaint, then inspect",
        "inspection": "go through the check list",
        "waiting": "wait for parts or an answer",
        "work": "do the work by the step cards",
        "check": "move to ready",
        "ready": "call the customer, hand over",
        "handed over": "nothing: done",
        "cancelled": "nothing: cancelled",
    }[job.stage]


def technician_stands_for_it(session: Session, job: Job) -> bool:
    """Return whether a technician signed for the job and nothing they signed for has changed since."""
    from forkwright.shop.views import job_digest

    query = select(Signature).where(Signature.job_id == job.id, Signature.role == "technician")
    signatures = list(session.scalars(query))
    return bool(signatures) and job_digest(session, job) in {each.job_digest for each in signatures}


def _structural_unseen(session: Session, job: Job, findings: list[Finding]) -> list[str]:
    from forkwright.shop.inspection import check_list

    unit = find(session, Unit, job.unit_id, deleted_too=True)
    seen = {finding.item for finding in findings if finding.result != "not checked"}
    return [item.key for item in check_list(unit.kind) if item.structural and item.key not in seen]


def _step(session: Session, job: Job, stage: str) -> None:
    allowed = MOVES[job.stage]
    if stage not in allowed:
        raise InputError(
            f"from '{job.stage}' a job cannot go there", key="stage", value=stage, allowed=", ".join(allowed)
        )
    if job.stage == "handed over":
        job.closed_at = None
    job.stage = stage
    session.flush()


def _next_number(session: Session) -> int:
    given = session.execute(
        update(Counter).where(Counter.name == "job").values(value=Counter.value + 1).returning(Counter.value)
    )
    return int(given.scalar_one())


def _clock(session: Session) -> Clock:
    clock: Clock = session.info.get("clock", wall_clock)
    return clock
