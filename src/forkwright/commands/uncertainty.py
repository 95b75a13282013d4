"""`forkwright uncertainty FILE`: bands on the answers, and which measurement to repeat."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import (
    bike_from,
    click_options,
    clicked,
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    rider_from,
    setting_from,
    spring_setting_options,
)
from forkwright.commands.output import console, print_json, print_warnings
from forkwright.commands.progress import progress_bar
from forkwright.units import InputError, Measure

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.standing import Standing
    from forkwright.hardware import Unit
    from forkwright.tune.uncertainty import Uncertainty


@click.command("uncertainty")
@click.argument("file", type=click.Path())
@quantity_option("--load", "force", "Load along the unit's axis.")
@click.option("--rider", metavar="FILE|Q", help="Take the load from this rider on the bike instead.")
@click.option("--bike", metavar="FILE", help="For --rider; a shock needs one, for its leverage.")
@quantity_option("--side-load", "force", "Force at the axle across the leg axis.", default="0 N")
@click.option(
    "--samples", type=click.Choice(["128", "256", "512", "1024", "2048"]), default="512", show_default=True
)
@click.option("--seed", type=int, default=1, show_default=True)
@click.option("--against", type=click.Path(), metavar="FILE", help="Does this unit differ, beyond doubt?")
@spring_setting_options
@click_options
@quantity_option("--oil-temp", "temperature", "With --against: oil temperature.", default="20 °C")
@condition_options
@json_option
def command(
    file: str,
    load: Measure | None,
    rider: str | None,
    bike: str | None,
    side_load: Measure,
    samples: str,
    seed: int,
    against: str | None,
    oil_temp: Measure,
    as_json: bool,
    **given: Any,
) -> None:
    """Say how sure the spring's answers for FILE are, and which measurement would help most.

    With --against: whether that unit's spring and damper differ beyond what callipers and friction leave
    open. Given FILE itself there, the setting of the options is held against that in the file.
    """
    from forkwright.hardware import load_unit, with_setting
    from forkwright.tune.uncertainty import uncertainty

    day = {name: given.pop(name) for name in ("temp", "fill_temp", "altitude", "fill_altitude")}
    unit = load_unit(file)
    other = load_unit(against) if against is not None else None
    clicks = {name: given.pop(name) for name in ("low_speed", "high_speed", "rebound")}
    setting = setting_from(unit, **given)
    if any(number is not None for number in clicks.values()):
        setting = clicked(with_setting(unit, setting), **clicks)
    conditions = conditions_from(**day)
    loads, notes = _loads(unit, other, load, side_load, rider, bike, conditions)
    with progress_bar("Drawing units from the tolerances") as progress:
        found = uncertainty(
            unit, loads[0].axial, setting, conditions, side_load=loads[0].side, samples=int(samples),
            seed=seed, progress=progress,
        )  # fmt: skip
    judged = damped = None
    if other is not None:
        from forkwright.tune.compare import compare
        from forkwright.tune.damping_verdict import damping_verdict
        from forkwright.tune.verdict import verdict

        judged = verdict(
            compare(
                with_setting(unit, setting), other, loads[0].axial, load_b=loads[1].axial,
                side_load=loads[0].side, conditions=conditions, seed=seed, damper_draws=2,
            )
        )  # fmt: skip
        with progress_bar("Drawing dampers from the tolerances") as progress:
            damped = damping_verdict(
                unit, other, setting, oil_temperature=oil_temp.si, seed=seed, progress=progress
            )
    if as_json:
        from forkwright.tune.uncertainty_answer import uncertainty_answer

        answer = uncertainty_answer(unit, found, judged, damped=damped)
        print_json(answer | {"warnings": [*notes, *answer["warnings"]]})
        return
    _print_table(unit.name, found)
    if judged is not None:
        click.echo(judged.words)
    if damped is not None:
        from forkwright.tune.damping_verdict import damping_words

        click.echo(damping_words(damped))
    print_warnings([*notes, *found.warnings])


def _loads(
    unit: Unit,
    other: Unit | None,
    load: Measure | None,
    side_load: Measure,
    rider: str | None,
    bike: str | None,
    conditions: Conditions,
) -> tuple[tuple[Standing, Standing], list[str]]:
    """The loads on both units, as given or from a rider on a bike."""
    from forkwright.bench.standing import Standing, standing_load

    if (load is None) == (rider is None):
        raise InputError("give one load", allowed="one of --load, --rider")
    if load is not None:
        plain = Standing(load.si, side_load.si, None)
        return (plain, plain), []
    assert rider is not None
    who, (what, notes) = rider_from(rider), bike_from(bike)
    first, second = (standing_load(one, who, what, conditions) for one in (unit, other or unit))
    return (first, second), notes


def _print_table(name: str, found: Uncertainty) -> None:
    from rich.table import Table

    from forkwright.physics.constants import P0
    from forkwright.tune.naming import measure_words
    from forkwright.tune.uncertainty_words import uncertainty_words
    from forkwright.units import show

    table = Table(title=f"{name}: how sure, and what to measure again")
    for heading in ("answer", "as measured", "90 % band", "measure again", "its share"):
        table.add_column(heading)
    for answer in found.answers:
        zero = P0 if answer.dimension == "pressure" else 0.0
        low, high = (
            show(float(edge[0]) - zero, answer.dimension) for edge in (answer.band.low, answer.band.high)
        )
        share = float(answer.shares.total.max()) if answer.shares.total.size else 0.0
        nominal = show(answer.nominal - zero, answer.dimension)
        table.add_row(
            answer.name, nominal, f"{low} to {high}", measure_words(answer.repeat or ""), f"{share:.0%}"
        )
    console().print(table)
    for sentence in uncertainty_words(found):
        click.echo(sentence)
