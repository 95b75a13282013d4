"""`forkwright recommend FILE --course C --rider R`: settings to start with, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import bike_from, condition_options, conditions_from, json_option, rider_from
from forkwright.commands.output import console, print_json, print_warnings
from forkwright.commands.progress import told_progress
from forkwright.commands.ride_options import NAMES, ride_options, ride_options_from
from forkwright.commands.tune_options import search_options, share_from
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.tune.recommendation import Recommendation

DAY = ("temp", "fill_temp", "altitude", "fill_altitude")


@click.command("recommend")
@click.argument("file", type=click.Path())
@click.option(
    "--course", "courses", multiple=True, required=True,
    help="A course file, or the name of a demo stage; may be given again.",
)  # fmt: skip
@search_options
@ride_options
@condition_options
@json_option
def command(
    file: str,
    courses: tuple[str, ...],
    rider: str,
    bike: str | None,
    wishes: tuple[str, ...],
    margin: str,
    pump_step: Measure | None,
    secondary_step: Measure,
    workers: int | None,
    seed: int,
    draws: int | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Recommend settings of the fork in FILE for a rider over courses, by simulated rides."""
    from forkwright.hardware import load_unit
    from forkwright.ride.course_file import find_course
    from forkwright.tune.drawn_rides import DRAWS
    from forkwright.tune.recommend import recommend
    from forkwright.tune.recommend_answer import recommend_answer

    day = conditions_from(**{name: given.pop(name) for name in DAY})
    options = ride_options_from(**{name: given.pop(name) for name in NAMES})
    unit, who = load_unit(file), rider_from(rider)
    what, notes = bike_from(bike)
    laid = [find_course(name) for name in courses]
    with told_progress("Searching") as progress:
        found = recommend(
            unit, who, what, laid, wishes=wishes, margin=share_from(margin, "--margin"), conditions=day,
            options=options, pump_step=pump_step.si if pump_step else None,
            secondary_step=secondary_step.si, workers=workers, seed=seed,
            draws=DRAWS if draws is None else draws, progress=progress,
        )  # fmt: skip
    if as_json:
        print_json(recommend_answer(found) | {"warnings": [*notes, *found.warnings]})
        return
    print_recommendation(found)
    print_warnings([*notes, *found.warnings])


def print_recommendation(found: Recommendation) -> None:
    """Print the trade-off as a table, and the sentences."""
    from rich.table import Table

    from forkwright.tune.naming import PRESSURES, SHORT
    from forkwright.tune.recommend_words import recommend_words, setting_value
    from forkwright.units import show

    kinds = dict.fromkeys(PRESSURES, "pressure") | {"preload": "length"}
    names = [adjuster.name for adjuster in found.adjusters]
    table = Table(title=f"{found.unit.name}: recommended, now, and the nearest of the trade-off")
    for heading in ("", *(SHORT[name] for name in names), "load varies", "hands m/s²", "rides at", "deepest"):
        table.add_column(heading)
    others = [option for option in found.trade_off if option.setting != found.best.setting][:6]
    rows = [("recommended", found.best), ("now", found.now), *(("", option) for option in others)]
    for label, option in rows:
        if option is not None:
            values = [(name, setting_value(option, name)) for name in names]
            table.add_row(
                label,
                *(show(v, kinds[name]) if name in kinds else f"{v:.0f}" for name, v in values),
                f"{option.aims[0]:.3f}",
                f"{option.aims[1]:.2f}",
                show(option.aims[2] * found.unit.travel.si, "length"),
                f"{option.aims[3]:.0%}" + (" (metal)" if option.metal > 0 else ""),
            )
    console().print(table)
    for sentence in recommend_words(found).sentences:
        click.echo(sentence)
