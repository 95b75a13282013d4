"""`forkwright job handover`: signing for the work and giving the unit back."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.job_papers import pdf_option, write_papers
from forkwright.commands.job_session import changed, looked_at
from forkwright.commands.output import print_warnings
from forkwright.commands.sheet_options import ending_of
from forkwright.commands.shop_store import Desk, as_json

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.shop.records_job import Job
    from forkwright.shop.service import NextService


@click.command("handover")
@click.argument("number", type=int)
@click.option("--technician", required=True, help="Signs for the job as it stands.")
@click.option("--customer", "customer_name", default="", help="Signs for having it back.")
@click.option("--work-done", default="", help="In the customer's words.")
@click.option("--next-hours", type=float, help="The shop's interval, in hours of riding.")
@click.option("--hours-a-week", type=float, help="How much the rider rides.")
@click.option("--before-month", type=int, help="The month in which their season begins.")
@pdf_option("The set-up card of the setting it leaves with.")
@as_json
@click.pass_obj
def handover(
    desk: Desk,
    /,
    number: int,
    technician: str,
    customer_name: str,
    *,
    json_wanted: bool,
    pdf: Path | None,
    **plan: Any,
) -> None:
    """Sign and hand over, if nothing stands in the way."""
    from forkwright.shop.jobs import conclude, hand_over, move

    if pdf is not None:
        ending_of(str(pdf), (".pdf",))
    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        conclude(session, job, work_done=plan.pop("work_done"), service=_next_service(session, plan))
        _sign(session, job, technician, customer_name)
        if job.stage == "check":
            move(session, job, "ready")
        hand_over(session, job)
    if pdf is not None:
        with looked_at(desk, number) as (session, job):
            warnings = write_papers(session, job, {"card": pdf})
        print_warnings(warnings)


def _next_service(session: Session, plan: dict[str, Any]) -> NextService | None:
    """Return when the unit is due again, by hours, by season or both; None where nothing was said."""
    from forkwright.shop.service import next_service

    today: date = session.info["clock"]().date()
    service = next_service(
        today, hours=plan["next_hours"], hours_a_week=plan["hours_a_week"], before_month=plan["before_month"]
    )
    return service if service.hours is not None or service.on is not None else None


def _sign(session: Session, job: Job, technician: str, customer: str) -> None:
    """Sign for the work, and for having the unit back where a customer is named."""
    from forkwright.shop.cards import cautions
    from forkwright.shop.job_book import sign

    sign(session, job, role="technician", name=technician, statement="Done and checked by the card.")
    if customer:
        statement = f"Received, and told: {cautions()['first_ride']}"
        sign(session, job, role="customer", name=customer, statement=statement)
