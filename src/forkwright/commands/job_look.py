"""`forkwright job list`, `show`, `timeline` and `search`: looking into the workshop's jobs."""

from __future__ import annotations

from dataclasses import asdict

import click

from forkwright.commands.job_session import looked_at
from forkwright.commands.job_told import print_table, tell_job
from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.shop_store import Desk, as_json, opened


@click.command("list")
@click.option("--all", "all_jobs", is_flag=True, help="The finished ones too.")
@as_json
@click.pass_obj
def list_jobs(desk: Desk, /, *, all_jobs: bool, json_wanted: bool) -> None:
    """Open jobs by what can be finished first."""
    from forkwright.shop.search import board
    from forkwright.shop.views import job_line

    with opened(desk.store) as store, store.look() as session:
        lines = [job_line(session, job) for job in board(session, all_jobs=all_jobs)]
    if json_wanted:
        print_json({"jobs": lines, "warnings": []})
        return
    print_table(lines, ("number", "stage", "unit", "customer", "due_on", "next_action"))


@click.command("show")
@click.argument("number", type=int)
@as_json
@click.pass_obj
def show(desk: Desk, /, number: int, *, json_wanted: bool) -> None:
    """Everything about one job."""
    with looked_at(desk, number) as (session, job):
        tell_job(session, job, json_wanted=json_wanted)


@click.command("timeline")
@click.argument("number", type=int)
@as_json
@click.pass_obj
def timeline(desk: Desk, /, number: int, *, json_wanted: bool) -> None:
    """Everything that ever happened to the unit of this job, over all its jobs."""
    from forkwright.shop.records import Unit
    from forkwright.shop.store import find
    from forkwright.shop.timeline import timeline as events_of

    with looked_at(desk, number) as (session, job):
        unit = find(session, Unit, job.unit_id, deleted_too=True)
        events = [asdict(event) for event in events_of(session, unit)]
        shown = {"unit": {"id": unit.id, "name": unit.name, "serial": unit.serial}}
    back = any(event["clock_back"] for event in events)
    warnings = ["the computer's clock was turned back at times; the order is that of writing"] if back else []
    if json_wanted:
        print_json({**shown, "events": events, "warnings": warnings})
        return
    print_table(events, ("at", "job", "actor", "kind", "text"))
    print_warnings(warnings)


@click.command("search")
@click.argument("words", nargs=-1, required=True)
@as_json
@click.pass_obj
def search(desk: Desk, /, words: tuple[str, ...], *, json_wanted: bool) -> None:
    """Find customers, units, jobs, notes, parts and figures in which every word occurs."""
    from forkwright.shop.search import search as find_words

    with opened(desk.store) as store, store.look() as session:
        hits = [asdict(hit) for hit in find_words(session, " ".join(words))]
    if json_wanted:
        print_json({"hits": hits, "warnings": []})
        return
    print_table(hits, ("kind", "job", "text"))
