"""How far a trial is: what stands, what comes next, what is missing, whether it is stopped."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from forkwright.trial.plan import Plan, Session
from forkwright.trial.records import OPINIONS, Record
from forkwright.units import InputError


def standing(records: Sequence[Record]) -> tuple[Record, ...]:
    """Return the records that have not been replaced by a later correction."""
    replaced = {record.replaces for record in records if record.replaces}
    return tuple(record for record in records if record.id not in replaced)


def next_run(plan: Plan, records: Sequence[Record], rider: str = "") -> tuple[Session, str]:
    """Return the next run (session, code) that was neither made ready nor skipped.

    Parameters
    ----------
    plan : Plan
        With the running order.
    records : sequence of Record
        Those that stand.
    rider : str
        Only this rider's runs, unless empty.

    Raises
    ------
    InputError
        If the rider is unknown, or nothing is left.
    """
    if rider and rider not in plan.request.riders:
        raise InputError("no such rider", key="rider", value=rider, allowed=", ".join(plan.request.riders))
    done = {record.code for record in records if record.kind in ("ready", "skip")}
    for session, code in plan.runs():
        if code not in done and rider in ("", session.rider):
            return session, code
    raise InputError("every run has been made ready or skipped: close the records")


def open_stop(records: Sequence[Record]) -> Record | None:
    """Return the incident that stopped the trial and was not resumed from, or None."""
    stop: Record | None = None
    for record in records:
        if record.kind == "incident" and record.severity == "stop":
            stop = record
        elif record.kind == "resume":
            stop = None
    return stop


def warmed_up(records: Sequence[Record], rider: str, today: datetime) -> bool:
    """Tell whether a rider has recorded a warm-up run on the day of `today`, in its time zone."""
    return any(
        record.kind == "warm_up"
        and record.rider == rider
        and record.at.astimezone(today.tzinfo).date() == today.date()
        for record in records
    )


def typed_by_leader(plan: Plan, records: Sequence[Record]) -> frozenset[int]:
    """Return the numbers of the sessions in which the leader typed in what the rider had given on paper."""
    leader, found = plan.request.leader, set()
    for record in records:
        if record.kind not in OPINIONS or record.by != leader:
            continue
        session = plan.sessions[record.session - 1] if record.session else plan.session_of(record.code)
        if session is not None and session.rider != leader:
            found.add(session.number)
    return frozenset(found)


def missing_answers(plan: Plan, records: Sequence[Record]) -> tuple[str, ...]:
    """Name every session whose answer is missing or incomplete."""
    design = plan.request.design
    answered = {record.session for record in records if record.kind in ("choice", "ranking")}
    measured = {
        (record.code, name)
        for record in records
        if record.kind in ("rating", "time")
        for name in record.values
    }
    return tuple(
        f"session {session.number} ({session.rider})"
        for session in plan.sessions
        if (
            any((code, plan.request.primary) not in measured for code in session.codes)
            if design == "rated"
            else session.number not in answered
        )
    )
