"""`forkwright job new`: taking a unit in."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.job_told import tell_job
from forkwright.commands.shop_store import Desk, as_json, opened

if TYPE_CHECKING:
    from forkwright.shop.intake import Arrival

DAY = click.DateTime(["%Y-%m-%d"])


@click.command("new")
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
    desk: Desk,
    /,
    unit_file: str | None,
    unit_id: str | None,
    bike_file: str | None,
    due: datetime | None,
    **given: Any,
) -> None:
    """Take a unit in: by its FILE, by --unit, or by --kind and --name."""
    from forkwright.shop.intake import take_in
    from forkwright.shop.jobs import job_by_number, open_job

    json_wanted = given.pop("json_wanted")
    arrival = _arrival(unit_file, unit_id, bike_file, given)
    with opened(desk.store) as store:
        with store.change(desk.actor) as session:
            unit = take_in(session, arrival)
            names = ("complaint", "rider_name", "rider_mass", "rider_manner", "riding_hours")
            told = {name: given[name] for name in names}
            number = open_job(session, unit, **told, due_on=None if due is None else due.date()).number
        with store.look() as session:
            tell_job(session, job_by_number(session, number), json_wanted=json_wanted)


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
