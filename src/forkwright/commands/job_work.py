"""`forkwright job note`, `move`, `inspect`, `setting`, `used`, `leakdown`, `photo`: the work written down."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from forkwright.commands.job_session import changed, looked_at
from forkwright.commands.job_told import tell_check_list
from forkwright.commands.shop_store import Desk, as_json


@click.command("note")
@click.argument("number", type=int)
@click.argument("text")
@as_json
@click.pass_obj
def note(desk: Desk, /, number: int, text: str, *, json_wanted: bool) -> None:
    """Write a line in the job's book."""
    from forkwright.shop.job_book import add_note

    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        add_note(session, job, text, author=desk.actor)


@click.command("move")
@click.argument("number", type=int)
@click.argument("stage")
@as_json
@click.pass_obj
def move_job(desk: Desk, /, number: int, stage: str, *, json_wanted: bool) -> None:
    """Bring a job to its next stage."""
    from forkwright.shop.jobs import move

    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        move(session, job, stage)


@click.command("inspect")
@click.argument("number", type=int)
@click.argument("item", required=False)
@click.option("--result", default="", help="good, watch, worn, stop or not checked.")
@click.option("--measured", default="", help="The wear with its unit, for example '0.12 ± 0.01 mm'.")
@click.option("--resolved", default="", help="What was done about it.")
@click.option("--remark", default="")
@as_json
@click.pass_obj
def inspect(desk: Desk, /, number: int, item: str | None, *, json_wanted: bool, **line: str) -> None:
    """Write one line of the inspection; without ITEM, show the check list.

    A measured wear is held against the shop's own limit (`forkwright shop figure`).
    """
    from forkwright.shop.inspection import record_finding

    if item is None:
        with looked_at(desk, number) as (session, job):
            tell_check_list(session, job, json_wanted=json_wanted)
        return
    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        record_finding(session, job, item=item, **line)


@click.command("setting")
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
def setting(desk: Desk, /, number: int, moment: str, *, json_wanted: bool, **fields: Any) -> None:
    """Write down the setting it came in with, or leaves with."""
    from forkwright.shop.job_book import record_setting

    given = {name: value for name, value in fields.items() if value is not None}
    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        record_setting(session, job, moment, **given)


@click.command("used")
@click.argument("number", type=int)
@click.argument("kind", type=click.Choice(["part", "oil", "grease", "other"]))
@click.argument("name")
@click.option("--amount", default="")
@click.option("--place", default="", help="Where it went.")
@click.option("--part-number", default="")
@click.option("--remark", default="")
@as_json
@click.pass_obj
def used(desk: Desk, /, number: int, kind: str, name: str, *, json_wanted: bool, **line: str) -> None:
    """Write down a part, oil or grease used."""
    from forkwright.shop.job_book import add_material

    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        add_material(session, job, kind=kind, name=name, **line)


@click.command("leakdown")
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
def leakdown(desk: Desk, /, number: int, chamber: str, *, json_wanted: bool, **test: Any) -> None:
    """Write down a leak-down test (`forkwright leakdown` judges it)."""
    from forkwright.shop.job_book import add_leak_down

    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        add_leak_down(session, job, chamber=chamber, **test)


@click.command("photo")
@click.argument("number", type=int)
@click.argument("picture", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--caption", default="")
@as_json
@click.pass_obj
def photo(desk: Desk, /, number: int, picture: Path, caption: str, *, json_wanted: bool) -> None:
    """Take a picture into the job; it is written anew without hidden data."""
    from forkwright.shop.job_book import add_photo
    from forkwright.shop.pictures import take_in

    with changed(desk, number, json_wanted=json_wanted) as (session, job):
        add_photo(
            session, job, **asdict(take_in(picture.read_bytes(), session.info["pictures"])), caption=caption
        )
