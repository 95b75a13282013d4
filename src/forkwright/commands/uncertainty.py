"""`forkwright uncertainty FILE`: bands on the answers, and which measurement to repeat."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import (
    click_options,
    clicked,
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    setting_from,
    side_load_option,
    spring_setting_options,
)
from forkwright.commands.output import chosen_units, console, print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from, rider_from
from forkwright.commands.progress import progress_bar
from forkwright.units import InputError, Measure

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.standing import Standing
    from forkwright.hardware import Setting, Unit
    from forkwright.tune.damping_verdict import DampingVerdict
    from forkwright.tune.uncertainty import Uncertainty
    from forkwright.tune.verdict import Verdict


@click.command("uncertainty")
@click.argument("file", type=click.Path())
@quantity_option("--load", "force", "Load along the unit's axis.")
@click.option("--rider", metavar="FILE|Q", help="Take the load from this rider on the bike instead.")
@click.option("--bike", metavar="FILE", help="For --rider; a shock needs one, for its leverage.")
@side_load_option
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
    from forkwright.hardware import load_unit
    from forkwright.tune.uncertainty import uncertainty
    from forkwright.tune.uncertainty_answer import uncertainty_answer

    conditions = conditions_from(given)
    unit = load_unit(file)
    other = load_unit(against) if against is not None else None
    setting = _setting(unit, given)
    (stands, other_stands), notes = _loads(unit, other, load, side_load, rider, bike, conditions)
    with progress_bar("Drawing units from the tolerances") as progress:
        found = uncertainty(
            unit, stands.axial, setting, conditions, side_load=stands.side, samples=int(samples), seed=seed,
            progress=progress,
        )  # fmt: skip
    judged = damped = None
    if other is not None:
        judged = _spring_verdict(unit, setting, other, (stands, other_stands), conditions, seed)
        damped = _damping_verdict(unit, setting, other, oil_temp.si, seed)
    if as_json:
        answer = uncertainty_answer(unit, found, judged, damped=damped)
        print_json(answer | {"warnings": [*notes, *answer["warnings"]]})
        return
    _print_table(unit.name, found)
    _print_verdicts(judged, damped)
    print_warnings([*notes, *found.warnings])


def _setting(unit: Unit, given: dict[str, Any]) -> Setting:
    """Return the setting that the options of spring and clicks state."""
    from forkwright.hardware import with_setting

    clicks = {name: given.pop(name) for name in ("low_speed", "high_speed", "rebound")}
    setting = setting_from(unit, **given)
    if all(number is None for number in clicks.values()):
        return setting
    return clicked(with_setting(unit, setting), **clicks)


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


def _spring_verdict(
    unit: Unit,
    setting: Setting,
    other: Unit,
    stands: tuple[Standing, Standing],
    conditions: Conditions,
    seed: int,
) -> Verdict:
    """Say where the springs differ beyond the tolerances, and beyond friction."""
    from forkwright.hardware import with_setting
    from forkwright.tune.compare import compare
    from forkwright.tune.verdict import verdict

    first, second = stands
    found = compare(
        with_setting(unit, setting), other, first.axial, load_b=second.axial, side_load=first.side,
        conditions=conditions, seed=seed, damper_draws=2,
    )  # fmt: skip
    return verdict(found)


def _damping_verdict(
    unit: Unit, setting: Setting, other: Unit, oil_temperature: float, seed: int
) -> DampingVerdict | None:
    """Say where the dampers differ beyond the tolerances; nothing where one has none."""
    from forkwright.tune.damping_verdict import damping_verdict

    with progress_bar("Drawing dampers from the tolerances") as progress:
        return damping_verdict(
            unit, other, setting, oil_temperature=oil_temperature, seed=seed, progress=progress
        )


def _print_table(name: str, found: Uncertainty) -> None:
    from rich.table import Table

    from forkwright.physics.constants import P0
    from forkwright.tune.naming import measure_words
    from forkwright.tune.uncertainty_words import uncertainty_words

    table = Table(title=f"{name}: how sure, and what to measure again")
    for heading in ("answer", "as measured", "90 % band", "measure again", "its share"):
        table.add_column(heading)
    for answer in found.answers:
        zero = P0 if answer.dimension == "pressure" else 0.0
        low, high = (
            shown(float(edge[0]) - zero, answer.dimension) for edge in (answer.band.low, answer.band.high)
        )
        share = float(answer.shares.total.max()) if answer.shares.total.size else 0.0
        nominal = shown(answer.nominal - zero, answer.dimension)
        table.add_row(
            answer.name, nominal, f"{low} to {high}", measure_words(answer.repeat or ""), f"{share:.0%}"
        )
    console().print(table)
    for sentence in uncertainty_words(found, chosen_units()):
        click.echo(sentence)


def _print_verdicts(judged: Verdict | None, damped: DampingVerdict | None) -> None:
    from forkwright.tune.damping_verdict import damping_words

    if judged is not None:
        click.echo(judged.words)
    if damped is not None:
        click.echo(damping_words(damped, chosen_units()))
