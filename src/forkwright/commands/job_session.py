"""One job of the store: opened for a look, or for a change that is told once it is saved."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from forkwright.commands.job_told import tell_job
from forkwright.commands.shop_store import Desk, opened

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.shop.records_job import Job


@contextmanager
def looked_at(desk: Desk, number: int) -> Iterator[tuple[Session, Job]]:
    """Open a job to look at it."""
    from forkwright.shop.jobs import job_by_number

    with opened(desk.store) as store, store.look() as session:
        yield session, job_by_number(session, number)


@contextmanager
def changed(desk: Desk, number: int, *, json_wanted: bool) -> Iterator[tuple[Session, Job]]:
    """Open a job for one change, and tell how it stands once the change is saved."""
    from forkwright.shop.jobs import job_by_number

    with opened(desk.store) as store:
        with store.change(desk.actor) as session:
            yield session, job_by_number(session, number)
        with store.look() as session:
            tell_job(session, job_by_number(session, number), json_wanted=json_wanted)
