"""`forkwright sweep FILE`: score a table of settings over courses, on all cores or on a cluster."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import condition_options, conditions_from, json_option
from forkwright.commands.output import console, print_json, print_warnings
from forkwright.commands.people_options import bike_from, rider_from
from forkwright.commands.ride_options import ride_options, ride_options_from
from forkwright.units import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from forkwright.ride.settings_table import SettingsTable


@click.command("sweep")
@click.argument("file", type=click.Path())
@click.option("--course", "course_names", multiple=True, required=True, help="A course; may be repeated.")
@click.option("--rider", required=True, help="A rider file, or a mass such as '82 kg'.")
@click.option("--bike", help="A bike file.")
@click.option(
    "--vary",
    multiple=True,
    metavar="ENTRY=VALUES",
    help="Such as 'pressure=70 psi..100 psi:5 psi', 'spacers=0..4' or 'rebound=2,4,8'; may be repeated.",
)
@click.option(
    "--random",
    "count",
    type=click.IntRange(1),
    metavar="N",
    help="N settings that fill the ranges evenly (Latin hypercube) instead of every combination.",
)
@click.option("--seed", type=click.IntRange(0), default=0, show_default=True)
@click.option("--list", "list_file", type=click.Path(), help="A CSV of settings instead of --vary.")
@click.option("--out", "folder", type=click.Path(), required=True, help="Folder for the Parquet files.")
@click.option("--workers", type=click.IntRange(1), help="Processes; one a core by default.")
@click.option("--cluster", metavar="ADDRESS", help="Dask scheduler such as tcp://host:8786.")
@ride_options
@condition_options
@json_option
def command(
    file: str,
    course_names: tuple[str, ...],
    rider: str,
    bike: str | None,
    vary: tuple[str, ...],
    count: int | None,
    seed: int,
    list_file: str | None,
    folder: str,
    workers: int | None,
    cluster: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Ride the unit in FILE with many settings; a sweep that was stopped goes on when called again."""
    from forkwright.hardware import load_unit
    from forkwright.ride.answers import sweep_answer
    from forkwright.ride.course_file import find_course
    from forkwright.ride.sweep import sweep

    options = ride_options_from(given)
    unit = load_unit(file)
    found_bike, notes = bike_from(bike)
    with _progress() as report:
        result = sweep(
            unit,
            [find_course(name) for name in course_names],
            settings_from(vary, count, seed, list_file),
            folder,
            rider=rider_from(rider),
            bike=found_bike,
            conditions=conditions_from(given),
            options=options,
            workers=workers,
            cluster=cluster,
            progress=report,
        )
    answer = sweep_answer(result)
    answer["warnings"] = [*notes, *answer["warnings"]]
    if as_json:
        print_json(answer)
        return
    click.echo(f"{result.done} settings over {result.courses} course(s) scored, in {result.folder}")
    print_warnings(answer["warnings"])


def settings_from(
    vary: tuple[str, ...], count: int | None, seed: int, list_file: str | None
) -> SettingsTable:
    """Return the table of settings that the options state."""
    from forkwright.ride.settings_table import spread
    from forkwright.ride.settings_text import read_list, read_ranges

    if bool(vary) == bool(list_file):
        raise InputError("give either --vary or --list")
    if list_file:
        return read_list(list_file)
    return spread(read_ranges(vary), count, seed)


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    """Show progress on standard error, on a terminal only: standard output holds the answer alone."""
    if not sys.stderr.isatty():
        yield lambda done, total: None  # noqa: ARG005 - nothing to show
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    shown = Progress(
        TextColumn("settings"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
        console=console(stderr=True),
    )  # fmt: skip
    with shown:
        bar = shown.add_task("settings", total=None)
        yield lambda done, total: shown.update(bar, completed=done, total=total)
