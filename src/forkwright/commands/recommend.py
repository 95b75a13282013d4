"""`forkwright recommend FILE --course C --rider R`: settings to start with, and why."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.import_options import import_options, recording_from, taken
from forkwright.commands.options import condition_options, conditions_from, json_option
from forkwright.commands.output import chosen_units, console, print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from, rider_from
from forkwright.commands.progress import told_progress
from forkwright.commands.ride_options import ride_options, ride_options_from
from forkwright.commands.tune_options import search_from, search_options

if TYPE_CHECKING:
    from collections.abc import Callable

    from forkwright.bench.conditions import Conditions
    from forkwright.evidence.course_shares import CourseShares
    from forkwright.hardware import Bike, Rider, Unit
    from forkwright.ride.course import Course
    from forkwright.ride.options import RideOptions
    from forkwright.tune.recommendation import Recommendation


@click.command("recommend")
@click.argument("file", type=click.Path())
@click.option(
    "--course", "courses", multiple=True, required=True,
    help="A course file, or the name of a demo stage; may be given again.",
)  # fmt: skip
@click.option(
    "--log", "log_file", type=click.Path(),
    help="A ride log of the fork at the file's setting: courses count as its ride is made up of them.",
)  # fmt: skip
@search_options
@ride_options
@condition_options
@import_options
@json_option
def command(
    file: str,
    courses: tuple[str, ...],
    log_file: str | None,
    rider: str,
    bike: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Recommend settings of the fork in FILE for a rider over courses, by simulated rides."""
    from forkwright.hardware import load_unit
    from forkwright.ride.course_file import find_course
    from forkwright.tune.drawn_rides import DRAWS
    from forkwright.tune.recommend import recommend
    from forkwright.tune.recommend_answer import recommend_answer

    day = conditions_from(given)
    options = ride_options_from(given)
    search = search_from(given, DRAWS)
    unit, who = load_unit(file), rider_from(rider)
    what, notes = bike_from(bike)
    laid = [find_course(name) for name in courses]
    importing = taken(given)
    logged: CourseShares | None = None
    with told_progress("Searching") as progress:
        if log_file is not None:
            logged = _logged(log_file, importing, unit, who, what, laid, day, options, progress)
            notes = [*notes, *logged.warnings]
        found = recommend(
            unit, who, what, laid, conditions=day, options=options, progress=progress,
            course_shares=logged.shares.tolist() if logged is not None else (), **search,
        )  # fmt: skip
    if as_json:
        answer = recommend_answer(found) | {"warnings": [*notes, *found.warnings]}
        print_json(answer | {"log": _log_answer(logged, log_file)})
        return
    if logged is not None and log_file is not None:
        from forkwright.evidence.ride_answers import course_shares_words

        click.echo(course_shares_words(logged, Path(log_file).name))
    print_recommendation(found)
    print_warnings([*notes, *found.warnings])


def _logged(
    path: str, importing: dict[str, Any], unit: Unit, rider: Rider, bike: Bike, courses: list[Course],
    day: Conditions, options: RideOptions, tell: Callable[[float, str], None],
) -> CourseShares:  # fmt: skip
    """Return which of the courses make up a logged ride; the log's faults are among its warnings."""
    from forkwright.evidence.ride_log import read_ride
    from forkwright.tune.logged_courses import shares_of_log

    tell(0.0, f"reading {path}")
    log = read_ride(recording_from(path, importing), float(unit.travel.si))
    return shares_of_log(log, unit, rider, bike, courses, conditions=day, options=options, tell=tell)


def _log_answer(found: CourseShares | None, path: str | None) -> dict[str, Any] | None:
    if found is None or path is None:
        return None
    from forkwright.evidence.ride_answers import course_shares_answer

    return course_shares_answer(found, Path(path).name)


def print_recommendation(found: Recommendation) -> None:
    """Print the trade-off as a table, and the sentences."""
    from rich.table import Table

    from forkwright.tune.adjusters import value_in
    from forkwright.tune.naming import PRESSURES, SHORT
    from forkwright.tune.recommend_words import recommend_words

    kinds = dict.fromkeys(PRESSURES, "pressure") | {"preload": "length"}
    names = [adjuster.name for adjuster in found.adjusters]
    table = Table(title=f"{found.unit.name}: recommended, now, and the nearest of the trade-off")
    for heading in ("", *(SHORT[name] for name in names), "load varies", "hands m/s²", "rides at", "deepest"):
        table.add_column(heading)
    others = [option for option in found.trade_off if option.setting != found.best.setting][:6]
    rows = [("recommended", found.best), ("now", found.now), *(("", option) for option in others)]
    for label, option in rows:
        if option is not None:
            values = [(name, value_in(option.setting, name)) for name in names]
            table.add_row(
                label,
                *(shown(v, kinds[name]) if name in kinds else f"{v:.0f}" for name, v in values),
                f"{option.aims[0]:.3f}",
                f"{option.aims[1]:.2f}",
                shown(option.aims[2] * found.unit.travel.si, "length"),
                f"{option.aims[3]:.0%}" + (" (metal)" if option.metal > 0 else ""),
            )
    console().print(table)
    for sentence in recommend_words(found, chosen_units()).sentences:
        click.echo(sentence)
