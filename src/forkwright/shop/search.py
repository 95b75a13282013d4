"""Finding things again: every word must occur, case and accents do not matter."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import and_, select
from sqlalchemy.orm import Session

from forkwright.shop.records import Bike, Customer, Figure, Unit
from forkwright.shop.records_job import Finding, Job, Material, Note, Photo
from forkwright.shop.store import AnyRecord
from forkwright.shop.words import folded

_KINDS = (Customer, Bike, Unit, Figure, Job, Note, Photo, Finding, Material)
_OPEN_STAGES_FIRST = ("ready", "check", "work", "inspection", "intake", "waiting")


@dataclass(frozen=True)
class Hit:
    """One find: which table and record, its job's number where it belongs to one, and its words."""

    kind: str
    id: str
    job: int | None
    text: str


def search(session: Session, words: str, *, most: int = 50) -> tuple[Hit, ...]:
    """Return records in which every word occurs, newest first within a kind.

    Parameters
    ----------
    words : str
        Blank-separated; parts of words count. Nothing but blanks finds nothing.
    most : int
        The most hits of each kind.
    """
    wanted = folded(words).split()
    if not wanted:
        return ()
    numbers = dict(session.execute(select(Job.id, Job.number)).all())
    hits: list[Hit] = []
    for kind in _KINDS:
        for record in _matching(session, kind, wanted, most):
            job_id = record.id if isinstance(record, Job) else getattr(record, "job_id", None)
            hits.append(
                Hit(
                    kind=record.__tablename__,
                    id=record.id,
                    job=None if job_id is None else numbers.get(job_id),
                    text=" · ".join(
                        str(getattr(record, name)) for name in record.SEARCHED if getattr(record, name)
                    ),
                )
            )
    return tuple(hits)


def board(session: Session, *, all_jobs: bool = False) -> list[Job]:
    """Return the open jobs by what can be finished first: stage, then promised day, then number.

    Parameters
    ----------
    all_jobs : bool
        The handed over and cancelled ones too, after the open ones.
    """
    query = select(Job) if all_jobs else select(Job).where(Job.stage.in_(_OPEN_STAGES_FIRST))
    rank = {stage: place for place, stage in enumerate(_OPEN_STAGES_FIRST)}
    return sorted(
        session.scalars(query),
        key=lambda job: (
            rank.get(job.stage, len(rank)),
            job.due_on is None,
            job.due_on.toordinal() if job.due_on is not None else 0,
            job.number,
        ),
    )


def _matching(session: Session, kind: type[AnyRecord], wanted: list[str], most: int) -> list[AnyRecord]:
    columns = kind.__table__.c
    every_word = and_(*(columns.search_text.contains(word, autoescape=True) for word in wanted))
    query = select(kind).where(every_word).order_by(columns.created_at.desc(), columns.id).limit(most)
    return list(session.scalars(query))
