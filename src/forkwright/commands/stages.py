"""`forkwright stages FILE --stage NAME=COURSE@ALTITUDE …`: one build for the race, adjusters per stage."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import json_option, quantity_option
from forkwright.commands.output import chosen_units, console, print_json, print_warnings
from forkwright.commands.people_options import bike_from, rider_from
from forkwright.commands.progress import told_progress
from forkwright.commands.ride_options import ride_options, ride_options_from
from forkwright.commands.tune_options import search_from, search_options, share_from
from forkwright.units import InputError, parse

if TYPE_CHECKING:
    from forkwright.tune.race_plan import StagePlan
    from forkwright.tune.stage_days import Stage, Weather


@click.command("stages")
@click.argument("file", type=click.Path())
@click.option(
    "--stage", "race", multiple=True, required=True, metavar="[NAME=]COURSE[@ALTITUDE]",
    help='In the order ridden, for example "One=gully.toml@850 m".',
)  # fmt: skip
@click.option("--pressures-too", is_flag=True, help="Pressures may change between stages, not only clicks.")
@click.option(
    "--speed-spread", default="10 %", show_default=True, metavar="SHARE", help="How far off the speed may be."
)
@quantity_option("--expected", "temperature", "Temperature expected on the stages.", default="20 °C")
@quantity_option("--coldest", "temperature", "Coldest it may get; as expected by default.")
@quantity_option("--warmest", "temperature", "Warmest it may get; as expected by default.")
@quantity_option("--fill-temp", "temperature", "Temperature when pressures are set.", default="20 °C")
@quantity_option("--fill-altitude", "length", "Altitude where pressures are set.", default="0 m")
@search_options
@ride_options
@click.option("--out", type=click.Path(), help="Write the top-tube card to this PDF.")
@click.option("--title", default="Race", show_default=True, help="Title of the card.")
@json_option
def command(
    file: str,
    race: tuple[str, ...],
    pressures_too: bool,
    speed_spread: str,
    rider: str,
    bike: str | None,
    out: str | None,
    title: str,
    as_json: bool,
    **given: Any,
) -> None:
    """Find one build of the fork in FILE for a race of several stages, and what to turn before each."""
    from forkwright.hardware import load_unit
    from forkwright.tune.stage_bands import DRAWS
    from forkwright.tune.stages import stages
    from forkwright.tune.stages_answer import stages_answer

    weather = _weather(given)
    options = ride_options_from(given)
    search = search_from(given, DRAWS)
    unit, who = load_unit(file), rider_from(rider)
    what, notes = bike_from(bike)
    _check_card(out)
    laid = [stage_from(text) for text in race]
    with told_progress("Searching") as progress:
        found = stages(
            unit, who, what, laid, pressures_too=pressures_too,
            speed_spread=share_from(speed_spread, "--speed-spread"), weather=weather, options=options,
            progress=progress, **search,
        )  # fmt: skip
    if out is not None:
        write_card(found, title, who.name, Path(out))
    if as_json:
        print_json(stages_answer(found) | {"card": out, "warnings": [*notes, *found.warnings]})
        return
    print_plan(found)
    print_warnings([*notes, *found.warnings])
    if out is not None:
        click.echo(f"Card: {out}")


def stage_from(text: str) -> Stage:
    """Read a stage such as "One=gully.toml@850 m"; name and altitude may be left out."""
    from forkwright.ride.course_file import find_course
    from forkwright.tune.stage_days import Stage

    name, named, rest = text.partition("=")
    place, high, altitude = (rest if named else text).partition("@")
    if named and not name.strip():
        raise InputError("the stage has no name", key="--stage", value=text)
    course = find_course(place.strip())
    try:
        metres = parse(altitude.strip(), "length").si if high else 0.0
    except InputError as fault:
        fault.key = "--stage"
        raise
    return Stage(name.strip() if named else course.name, course, metres)


def write_card(found: StagePlan, title: str, rider: str, path: Path) -> None:
    """Write the card for the top tube."""
    from forkwright.hardware.files import write_whole
    from forkwright.sheets.card_of_stages import stage_card_of
    from forkwright.sheets.stage_card import print_stage_card

    write_whole(path, print_stage_card(stage_card_of(found, title, rider)).content)


def print_plan(found: StagePlan) -> None:
    """Print the settings per stage as a table, and the sentences."""
    from rich.table import Table

    from forkwright.tune.naming import ADJUSTERS, value_words
    from forkwright.tune.stages_words import stages_words, turn_words

    units = chosen_units()
    table = Table(title=f"{found.unit.name}: stage by stage")
    table.add_column("stage")
    for name in found.between:
        table.add_column(ADJUSTERS[name])
    table.add_column("turn before it")
    for number, one in enumerate(found.stages):
        values = [getattr(one.setting, name) for name in found.between]
        told = [
            value_words(name, float(getattr(value, "si", value)), units)
            for name, value in zip(found.between, values, strict=True)
        ]
        table.add_row(one.stage.name, *told, turn_words(found, number))
    console().print(table)
    for sentence in stages_words(found, units).sentences:
        click.echo(sentence)


def _check_card(out: str | None) -> None:
    if out is not None and not out.lower().endswith(".pdf"):
        raise InputError(
            "the card is written as a PDF", key="--out", value=out, allowed="a name ending in .pdf"
        )


def _weather(given: dict[str, Any]) -> Weather:
    """Take the weather's options out of the command's keyword arguments, and return what they state."""
    from forkwright.tune.stage_days import Weather

    expected, coldest, warmest = (given.pop(name) for name in ("expected", "coldest", "warmest"))
    return Weather(
        expected=expected.si,
        coldest=(coldest or expected).si,
        warmest=(warmest or expected).si,
        fill_temperature=given.pop("fill_temp").si,
        fill_altitude=given.pop("fill_altitude").si,
    )
