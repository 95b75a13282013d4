"""`forkwright job`: workshop jobs from intake to hand-over."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from forkwright.commands.job_papers import PAPER, pdf_option, write_papers, write_step_card
from forkwright.commands.job_told import print_table, tell_check_list, tell_job
from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.sheet_options import ending_of, units_from, units_options
from forkwright.commands.shop_store import as_json, default_store, opened, user

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from forkwright.shop.intake import Arrival
    from forkwright.shop.records_job import Job

DAY = click.DateTime(["%Y-%m-%d"])


@click.group()
@click.option(
    "--store", "where", envvar="FORKWRIGHT_STORE", help="The store's file or postgresql:// address."
)
@click.option("--actor", default="", help="Who is at work; default: the computer's user.")
@click.pass_context
def command(context: click.Context, where: str | None, actor: str) -> None:
    """Workshop jobs from intake to hand-over."""
    context.obj = (where or default_store(), actor or user())


@command.command("new")
@click.argument("unit_file", type=click.Path(dir_okay=False), required=False)
@click.option("--unit", "unit_id", help="A unit already in the book, by its id.")
@click.option("--kind", type=click.Choice(["fork", "shock"]), help="Without a unit file.")
@click.option("--name", help="The unit's name, without a unit file.")
@click.option("--serial", default="", help="The unit's serial number; finds it again at the next visit.")
@click.option("--customer", default="", help="The customer's name; taken into the book if new.")
@click.option("--bike", default="", help="The bike's name; taken into the book if new.")
@click.option(
    "--bike-file",
    type=click.Path(dir_okay=False),
    help="The bike's file: with it and the rider's mass the set-up card states the sag to check.",
)
@click.option("--phone", default="")
@click.option("--email", default="")
@click.option("--complaint", default="", help="What the rider feels, in their words.")
@click.option("--rider", "rider_name", default="")
@click.option("--rider-mass", default="", help="Ready to ride, for example '82 kg'.")
@click.option("--manner", "rider_manner", default="", help="How and where they ride.")
@click.option("--riding-hours", type=float, help="Hours since the last service, as told.")
@click.option("--due", type=DAY, help="Promised for, YYYY-MM-DD.")
@as_json
@click.pass_obj
def new(
    at: tuple[str, str],
    /,
    unit_file: str | None,
    unit_id: str | None,
    bike_file: str | None,
    due: datetime | None,
    **given: Any,
) -> None:
    """Take a unit in: by its FILE, by --unit, or by --kind and --name."""
    from forkwright.shop.intake import take_in
    from forkwright.shop.jobs import open_job

    json_wanted = given.pop("json_wanted")
    arrival = _arrival(unit_file, unit_id, bike_file, given)
    with opened(at[0]) as store:
        with store.change(at[1]) as session:
            unit = take_in(session, arrival)
            names = ("complaint", "rider_name", "rider_mass", "rider_manner", "riding_hours")
            told = {name: given[name] for name in names}
            number = open_job(session, unit, **told, due_on=None if due is None else due.date()).number
        with store.look() as session:
            tell_job(session, _job(session, number), json_wanted=json_wanted)


@command.command("list")
@click.option("--all", "all_jobs", is_flag=True, help="The finished ones too.")
@as_json
@click.pass_obj
def list_jobs(at: tuple[str, str], /, *, all_jobs: bool, json_wanted: bool) -> None:
    """Open jobs by what can be finished first."""
    from forkwright.shop.search import board
    from forkwright.shop.views import job_line

    with opened(at[0]) as store, store.look() as session:
        lines = [job_line(session, job) for job in board(session, all_jobs=all_jobs)]
    if json_wanted:
        print_json({"jobs": lines, "warnings": []})
        return
    print_table(lines, ("number", "stage", "unit", "customer", "due_on", "next_action"))


@command.command("show")
@click.argument("number", type=int)
@as_json
@click.pass_obj
def show(at: tuple[str, str], /, number: int, *, json_wanted: bool) -> None:
    """Everything about one job."""
    with opened(at[0]) as store, store.look() as session:
        tell_job(session, _job(session, number), json_wanted=json_wanted)


@command.command("note")
@click.argument("number", type=int)
@click.argument("text")
@as_json
@click.pass_obj
def note(at: tuple[str, str], /, number: int, text: str, *, json_wanted: bool) -> None:
    """Write a line in the job's book."""
    from forkwright.shop.job_book import add_note

    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        add_note(session, job, text, author=at[1])


@command.command("move")
@click.argument("number", type=int)
@click.argument("stage")
@as_json
@click.pass_obj
def move_job(at: tuple[str, str], /, number: int, stage: str, *, json_wanted: bool) -> None:
    """Bring a job to its next stage."""
    from forkwright.shop.jobs import move

    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        move(session, job, stage)


@command.command("inspect")
@click.argument("number", type=int)
@click.argument("item", required=False)
@click.option("--result", default="", help="good, watch, worn, stop or not checked.")
@click.option("--measured", default="", help="The wear with its unit, for example '0.12 ± 0.01 mm'.")
@click.option("--resolved", default="", help="What was done about it.")
@click.option("--remark", default="")
@as_json
@click.pass_obj
def inspect(at: tuple[str, str], /, number: int, item: str | None, *, json_wanted: bool, **line: str) -> None:
    """Write one line of the inspection; without ITEM, show the check list.

    A measured wear is held against the shop's own limit (`forkwright shop figure`).
    """
    from forkwright.shop.inspection import record_finding

    if item is None:
        with opened(at[0]) as store, store.look() as session:
            tell_check_list(session, _job(session, number), json_wanted=json_wanted)
        return
    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        record_finding(session, job, item=item, **line)


@command.command("setting")
@click.argument("number", type=int)
@click.argument("moment", type=click.Choice(["before", "after"]))
@click.option("--pressure", help="Gauge.")
@click.option("--negative-pressure", help="Gauge.")
@click.option("--floating", help="Gauge.")
@click.option("--preload")
@click.option("--sag")
@click.option("--temp", "temperature")
@click.option("--altitude")
@click.option("--spacers", type=int)
@click.option("--low-speed", type=int, help="Clicks from fully closed.")
@click.option("--high-speed", type=int, help="Clicks from fully closed.")
@click.option("--rebound", type=int, help="Clicks from fully closed.")
@click.option("--remark")
@as_json
@click.pass_obj
def setting(at: tuple[str, str], /, number: int, moment: str, *, json_wanted: bool, **fields: Any) -> None:
    """Write down the setting it came in with, or leaves with."""
    from forkwright.shop.job_book import record_setting

    given = {name: value for name, value in fields.items() if value is not None}
    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        record_setting(session, job, moment, **given)


@command.command("used")
@click.argument("number", type=int)
@click.argument("kind", type=click.Choice(["part", "oil", "grease", "other"]))
@click.argument("name")
@click.option("--amount", default="")
@click.option("--place", default="", help="Where it went.")
@click.option("--part-number", default="")
@click.option("--remark", default="")
@as_json
@click.pass_obj
def used(
    at: tuple[str, str], /, number: int, kind: str, name: str, *, json_wanted: bool, **line: str
) -> None:
    """Write down a part, oil or grease used."""
    from forkwright.shop.job_book import add_material

    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        add_material(session, job, kind=kind, name=name, **line)


@command.command("leakdown")
@click.argument("number", type=int)
@click.argument("chamber")
@click.option("--start", "start_pressure", required=True, help="Gauge.")
@click.option("--end", "end_pressure", required=True, help="Gauge.")
@click.option("--hours", type=float, required=True, help="Between the readings.")
@click.option("--start-temp", "start_temperature", default="")
@click.option("--end-temp", "end_temperature", default="")
@click.option("--verdict", default="")
@as_json
@click.pass_obj
def leakdown(at: tuple[str, str], /, number: int, chamber: str, *, json_wanted: bool, **test: Any) -> None:
    """Write down a leak-down test (`forkwright leakdown` judges it)."""
    from forkwright.shop.job_book import add_leak_down

    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        add_leak_down(session, job, chamber=chamber, **test)


@command.command("photo")
@click.argument("number", type=int)
@click.argument("picture", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--caption", default="")
@as_json
@click.pass_obj
def photo(at: tuple[str, str], /, number: int, picture: Path, caption: str, *, json_wanted: bool) -> None:
    """Take a picture into the job; it is written anew without hidden data."""
    from forkwright.shop.job_book import add_photo
    from forkwright.shop.pictures import take_in

    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        add_photo(
            session, job, **asdict(take_in(picture.read_bytes(), session.info["pictures"])), caption=caption
        )


@command.command("card")
@click.argument("key", required=False)
@click.option("--unit", "unit_name", default="", help="Show the shop's figures for units of this name.")
@pdf_option("The step card, to lie on the bench.")
@as_json
@click.pass_obj
def card(
    at: tuple[str, str], /, key: str | None, unit_name: str, *, json_wanted: bool, pdf: Path | None
) -> None:
    """Show a step card with its cautions; without KEY, list the cards."""
    from forkwright.shop.cards import MANUAL_FIRST, all_cards
    from forkwright.shop.cards import card as card_of
    from forkwright.shop.register import figures_for

    if key is None:
        lines = [{"key": each.key, "title": each.title, "for": ", ".join(each.kinds)} for each in all_cards()]
        if json_wanted:
            print_json({"cards": lines, "warnings": []})
        else:
            print_table(lines, ("key", "title", "for"))
        return
    found = card_of(key)
    with opened(at[0]) as store, store.look() as session:
        figures = {
            f"{figure.kind}: {figure.item}": f"{figure.value} ({figure.source or 'no source entered'})"
            for figure in figures_for(session, unit_name)
        }
    wanted = {name: figures.get(name, "") for name in found.figures}
    if pdf is not None:
        write_step_card(found, wanted, pdf)
    if json_wanted:
        print_json({**asdict(found), "figures": wanted, "manual": MANUAL_FIRST, "warnings": []})
        return
    click.echo(f"{found.title}\n{MANUAL_FIRST}\n")
    for name, value in wanted.items():
        click.echo(f"  {name}: {value or 'not entered: look it up in the manual'}")
    for place, step in enumerate(found.steps, start=1):
        for caution in step.cautions:
            click.echo(f"\n  ! {caution}")
        click.echo(f"{place}. {step.do}")


@command.command("handover")
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
    at: tuple[str, str],
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
    from forkwright.shop.cards import cautions
    from forkwright.shop.job_book import sign
    from forkwright.shop.jobs import conclude, hand_over, move
    from forkwright.shop.service import next_service

    if pdf is not None:
        ending_of(str(pdf), (".pdf",))
    with _changing(at, number, json_wanted=json_wanted) as (session, job):
        today: date = session.info["clock"]().date()
        service = next_service(
            today,
            hours=plan["next_hours"],
            hours_a_week=plan["hours_a_week"],
            before_month=plan["before_month"],
        )
        planned = service.hours is not None or service.on is not None
        conclude(session, job, work_done=plan["work_done"], service=service if planned else None)
        sign(session, job, role="technician", name=technician, statement="Done and checked by the card.")
        if customer_name:
            statement = f"Received, and told: {cautions()['first_ride']}"
            sign(session, job, role="customer", name=customer_name, statement=statement)
        if job.stage == "check":
            move(session, job, "ready")
        hand_over(session, job)
    if pdf is not None:
        with opened(at[0]) as store, store.look() as session:
            warnings = write_papers(session, _job(session, number), {"card": pdf})
        print_warnings(warnings)


command.add_command(handover, "close")


@command.command("papers")
@click.argument("number", type=int)
@click.option("--card", type=PAPER, help="Set-up card, a .pdf with a QR code of the settings.")
@click.option("--report", type=PAPER, help="Full report with curves, a .pdf.")
@click.option("--pressures", type=PAPER, help="Spreadsheet of pressure against temperature, an .xlsx.")
@click.option("--paper", type=click.Choice(["a5", "a4"]), default="a5", show_default=True)
@units_options
@as_json
@click.pass_obj
def papers(
    at: tuple[str, str], /, number: int, paper: Literal["a5", "a4"], *, json_wanted: bool, **given: Any
) -> None:
    """Write what goes home with the unit; a job not signed for gets drafts that say so."""
    units = units_from(given)
    wanted = {name: path for name, path in given.items() if path is not None}
    if not wanted:
        raise click.UsageError("give at least one of --card, --report and --pressures")
    with opened(at[0]) as store, store.look() as session:
        warnings = write_papers(session, _job(session, number), wanted, paper, units)
    if json_wanted:
        files = {name: str(path.resolve()) for name, path in wanted.items()}
        print_json({"files": files, "warnings": list(warnings)})
        return
    print_warnings(warnings)
    click.echo("Written: " + ", ".join(str(path) for path in wanted.values()))


@command.command("timeline")
@click.argument("number", type=int)
@as_json
@click.pass_obj
def timeline(at: tuple[str, str], /, number: int, *, json_wanted: bool) -> None:
    """Everything that ever happened to the unit of this job, over all its jobs."""
    from forkwright.shop.records import Unit
    from forkwright.shop.store import find
    from forkwright.shop.timeline import timeline as events_of

    with opened(at[0]) as store, store.look() as session:
        unit = find(session, Unit, _job(session, number).unit_id, deleted_too=True)
        events = [asdict(event) for event in events_of(session, unit)]
        shown = {"unit": {"id": unit.id, "name": unit.name, "serial": unit.serial}}
    back = any(event["clock_back"] for event in events)
    warnings = ["the computer's clock was turned back at times; the order is that of writing"] if back else []
    if json_wanted:
        print_json({**shown, "events": events, "warnings": warnings})
        return
    print_table(events, ("at", "job", "actor", "kind", "text"))
    print_warnings(warnings)


@command.command("search")
@click.argument("words", nargs=-1, required=True)
@as_json
@click.pass_obj
def search(at: tuple[str, str], /, words: tuple[str, ...], *, json_wanted: bool) -> None:
    """Find customers, units, jobs, notes, parts and figures in which every word occurs."""
    from forkwright.shop.search import search as find_words

    with opened(at[0]) as store, store.look() as session:
        hits = [asdict(hit) for hit in find_words(session, " ".join(words))]
    if json_wanted:
        print_json({"hits": hits, "warnings": []})
        return
    print_table(hits, ("kind", "job", "text"))


@contextmanager
def _changing(at: tuple[str, str], /, number: int, *, json_wanted: bool) -> Iterator[tuple[Session, Job]]:
    """Open the job for one change, and tell how it stands once the change is saved."""
    with opened(at[0]) as store:
        with store.change(at[1]) as session:
            job = _job(session, number)
            yield session, job
        with store.look() as session:
            tell_job(session, _job(session, number), json_wanted=json_wanted)


def _job(session: Session, number: int) -> Job:
    from forkwright.shop.jobs import job_by_number

    return job_by_number(session, number)


def _arrival(
    unit_file: str | None, unit_id: str | None, bike_file: str | None, given: dict[str, Any]
) -> Arrival:
    """Return what is said about the unit, its owner and its bike."""
    from forkwright.hardware.files import read_file
    from forkwright.shop.file_texts import bike_name, name_and_kind
    from forkwright.shop.intake import Arrival

    text = "" if unit_file is None else read_file(unit_file)
    bike_text = "" if bike_file is None else read_file(bike_file)
    if text:
        name_and_kind(text, unit_file or "")  # here, so that a fault is told with the file's own name
    if bike_text:
        bike_name(bike_text, bike_file or "")
    if unit_id is None and not text and not (given["name"] and given["kind"]):
        raise click.UsageError("give a unit FILE, --unit ID, or --kind and --name")
    said = {
        name: given[name] or "" for name in ("kind", "name", "serial", "customer", "phone", "email", "bike")
    }
    return Arrival(unit_id=unit_id or "", unit_text=text, bike_text=bike_text, **said)
