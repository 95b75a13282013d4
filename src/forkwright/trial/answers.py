"""What counts: the answers of an opened trial with the options behind their codes, and what was left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from forkwright.trial.folder_files import Kept
from forkwright.trial.plan import Plan, Session
from forkwright.trial.progress import standing, typed_by_leader
from forkwright.trial.records import Record, masked
from forkwright.trial.seal import Key

_ANSWERS = ("choice", "ranking", "rating", "time")


@dataclass(frozen=True)
class Choice:
    """One forced choice; `right` is None where there is no right answer (a preference)."""

    rider: str
    session: int
    round: int
    options: tuple[str, ...]
    """In the order they were ridden."""
    chosen: str
    place: int
    """The place of the chosen run in the session, from 1, dimensionless."""
    right: bool | None


@dataclass(frozen=True)
class Ranking:
    """One ranking, the best option first."""

    rider: str
    session: int
    options: tuple[str, ...]


@dataclass(frozen=True)
class Measurement:
    """One rating (points) or time (seconds)."""

    rider: str
    session: int
    round: int
    code: str
    option: str
    run: int
    """The rider's running number of the run in the whole trial, from 1, dimensionless."""
    name: str
    value: float


@dataclass(frozen=True)
class Answers:
    """Everything that counts, and every record that does not, with the reason."""

    choices: tuple[Choice, ...] = ()
    rankings: tuple[Ranking, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    left_out: tuple[tuple[str, str], ...] = ()
    """(record id, reason)."""
    remarks: tuple[Record, ...] = field(default=())
    """Remarks and incidents, whole."""
    typed_by_leader: frozenset[int] = frozenset()
    """Numbers of the sessions with an answer that the leader typed in from paper."""


def counted(plan: Plan, key: Key, kept: Sequence[Kept], broken_at: datetime | None = None) -> Answers:
    """Return what counts of the kept records, by the rules written into the plan.

    Parameters
    ----------
    plan, key : Plan, Key
        The plan and its opened key.
    kept : sequence of Kept
        Records in the order they came in.
    broken_at : datetime, optional
        When the blind was broken: what came in later does not count.
    """
    late = [one.record for one in kept if broken_at is not None and one.received >= broken_at]
    records = standing([one.record for one in kept if one.record not in late])
    left_out = [
        (record.id, "came in after the blind was broken") for record in late if record.kind in _ANSWERS
    ]
    used, refused = _by_the_rules(records, plan)
    remarks = [one.record for one in kept if one.record.kind in ("remark", "incident", "skip", "resume")]
    return Answers(
        choices=tuple(_choice(record, plan, key) for record in used if record.kind == "choice"),
        rankings=tuple(_ranking(record, plan, key) for record in used if record.kind == "ranking"),
        measurements=tuple(_measurements(used, plan, key)),
        left_out=(*left_out, *refused),
        remarks=tuple(remarks),
        typed_by_leader=typed_by_leader(plan, used),
    )


def _by_the_rules(records: Sequence[Record], plan: Plan) -> tuple[list[Record], list[tuple[str, str]]]:
    """Part the answers into those that count and (record id, reason) of those that do not."""
    ready = {record.code for record in records if record.kind == "ready" and masked(record)}
    seen: set[tuple[str, str]] = set()
    used, refused = [], []
    for record in records:
        if record.kind not in _ANSWERS:
            continue
        session = _session_of(record, plan)
        concerned = (record.code,) if record.code else session.codes
        place = f"{record.kind} {record.code or session.number}"
        names = {(place, name) for name in record.values} or {(place, "")}
        if unmasked := [code for code in concerned if code not in ready]:
            refused.append((record.id, f"no ready check with every mask ticked for {', '.join(unmasked)}"))
        elif names & seen:
            refused.append((record.id, "answered twice; the first answer counts"))
        else:
            seen |= names
            used.append(record)
    return used, refused


def _choice(record: Record, plan: Plan, key: Key) -> Choice:
    session = _session_of(record, plan)
    options = tuple(key.allocation[code] for code in session.codes)
    place = session.codes.index(record.choice)
    right: bool | None = None
    if plan.request.design == "triangle":
        right = options.count(options[place]) == 1
    elif plan.request.design == "duo-trio":
        right = options[place] == options[0]
    return Choice(session.rider, session.number, session.round, options, options[place], place + 1, right)


def _ranking(record: Record, plan: Plan, key: Key) -> Ranking:
    session = _session_of(record, plan)
    return Ranking(session.rider, session.number, tuple(key.allocation[code] for code in record.ranking))


def _measurements(used: Sequence[Record], plan: Plan, key: Key) -> Iterator[Measurement]:
    runs = _run_numbers(plan)
    for record in used:
        if record.kind not in ("rating", "time"):
            continue
        session = _session_of(record, plan)
        for name, value in record.values.items():
            yield Measurement(
                rider=session.rider,
                session=session.number,
                round=session.round,
                code=record.code,
                option=key.allocation[record.code],
                run=runs[record.code],
                name=name,
                value=value,
            )


def _session_of(record: Record, plan: Plan) -> Session:
    if record.session is not None:
        return plan.sessions[record.session - 1]
    session = plan.session_of(record.code)
    if session is None:  # `checked` lets no such record in
        raise ValueError(f"record {record.id} belongs to no session")
    return session


def _run_numbers(plan: Plan) -> dict[str, int]:
    ridden: dict[str, int] = {}
    numbers = {}
    for session, code in plan.runs():
        ridden[session.rider] = ridden.get(session.rider, 0) + 1
        numbers[code] = ridden[session.rider]
    return numbers
