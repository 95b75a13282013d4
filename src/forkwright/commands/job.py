"""`forkwright job`: workshop jobs from intake to hand-over; each step of the work has a file of its own."""

from __future__ import annotations

import click

from forkwright.commands import job_card, job_handover, job_intake, job_look, job_papers, job_work
from forkwright.commands.shop_store import Desk, default_store, store_option, user


@click.group()
@store_option
@click.option("--actor", default="", help="Who is at work; default: the computer's user.")
@click.pass_context
def command(context: click.Context, where: str | None, actor: str) -> None:
    """Workshop jobs from intake to hand-over."""
    context.obj = Desk(where or default_store(), actor or user())


for each in (
    job_intake.new,
    job_look.list_jobs,
    job_look.show,
    job_work.note,
    job_work.move_job,
    job_work.inspect,
    job_work.setting,
    job_work.used,
    job_work.leakdown,
    job_work.photo,
    job_card.card,
    job_handover.handover,
):
    command.add_command(each)
command.add_command(job_handover.handover, "close")
for each in (job_papers.papers, job_look.timeline, job_look.search):
    command.add_command(each)
