"""How a job, a check list and tables of jobs are told on the terminal or as JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.output import console, print_json

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.shop.records_job import Job


def tell_job(session: Session, job: Job, *, json_wanted: bool) -> None:
    """Print everything about one job."""
    from forkwright.shop.views import job_view

    view = job_view(session, job)
    if json_wanted:
        print_json(view)
        return
    unit = view["unit"]
    click.echo(f"Job {view['number']}  {unit['name']} {unit['serial']}  {view['stage']}")
    customer = view["customer"]
    click.echo(f"  customer: {customer['name'] if customer else 'none'}")
    click.echo(f"  complaint: {view['complaint'] or 'none noted'}")
    for finding in view["findings"]:
        click.echo(f"  {finding['item']}: {finding['result']} {finding['measured']}")
    for moment, values in view["settings"].items():
        told = [
            f"{key} {value}" for key, value in values.items() if isinstance(value, str | int) and value != ""
        ]
        click.echo(f"  setting {moment}: {', '.join(told)}")
    for each in view["notes"]:
        click.echo(f"  {each['at'][:16]} {each['author']}: {each['text']}")
    click.echo(f"  next: {view['next_action']}")


def tell_check_list(session: Session, job: Job, *, json_wanted: bool) -> None:
    """Print the check list that fits the job's unit, with the shop's own limits."""
    from forkwright.shop.inspection import check_list, limit_for
    from forkwright.shop.records import Unit
    from forkwright.shop.store import find

    unit = find(session, Unit, job.unit_id, deleted_too=True)
    lines = [{**asdict(item), "limit": limit_for(session, unit, item.key)} for item in check_list(unit.kind)]
    if json_wanted:
        print_json({"items": lines, "warnings": []})
        return
    print_table(lines, ("key", "what", "how", "measured", "limit"))


def print_table(lines: list[dict[str, Any]], columns: tuple[str, ...]) -> None:
    """Print lines as a table for the eye."""
    from rich.markup import escape
    from rich.table import Table

    table = Table(*[column.replace("_", " ") for column in columns])
    for line in lines:
        table.add_row(*["" if line[column] is None else escape(str(line[column])) for column in columns])
    console().print(table)
