"""`forkwright compare A B --rider … --bike …`: two units side by side, and B's nearest setting to A."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.compare_table import print_comparison
from forkwright.commands.options import (
    Command,
    condition_options,
    conditions_from,
    json_option,
    pump_step_option,
    quantity_option,
)
from forkwright.commands.output import chosen_units, print_json, print_warnings
from forkwright.commands.people_options import bike_from, bike_option, rider_from, rider_option, rider_words
from forkwright.commands.progress import progress_bar
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.rear_sag import WheelSag
    from forkwright.tune.compare import Comparison


def draws_options(command: Command) -> Command:
    """Add how many units are drawn from the tolerances for the bands, and the seed."""
    for option in reversed(
        (
            click.option("--draws", type=click.IntRange(100, 1_000_000), default=10_000, show_default=True),
            click.option(
                "--seed", type=int, default=1, show_default=True, help="Seed of the tolerance draws."
            ),
        )
    ):
        command = option(command)
    return command


@click.command("compare")
@click.argument("a", type=click.Path())
@click.argument("b", type=click.Path())
@rider_option
@bike_option
@pump_step_option
@quantity_option(
    "--secondary-step", "pressure", "Smallest step at the secondary valve.", default="0.5 psi",
    show_default=True,
)  # fmt: skip
@draws_options
@click.option("--report", type=click.Path(), metavar="FILE", help="Also write the report as one HTML file.")
@condition_options
@json_option
def command(
    a: str,
    b: str,
    rider: str,
    bike: str | None,
    pump_step: Measure | None,
    secondary_step: Measure,
    draws: int,
    seed: int,
    report: str | None,
    as_json: bool,
    **day: Any,
) -> None:
    """Compare units A and B for one rider: curves, bands, sag, steps, and the setting of B nearest to A."""
    from forkwright.bench.rear_answers import wheel_sag_answer
    from forkwright.tune.compare_answer import compare_answer

    conditions = conditions_from(day)
    found, notes = comparison_of(
        a, b, rider, bike, conditions, pump_step=pump_step, secondary_step=secondary_step, draws=draws,
        seed=seed,
    )  # fmt: skip
    wheel = wheel_sags(found, rider, bike, conditions)
    if report is not None:
        write_report(found, Path(report), rider_words(rider), conditions, wheel)
    if as_json:
        answer = compare_answer(found) | {"warnings": [*notes, *found.warnings]}
        print_json(answer | ({"wheel": [wheel_sag_answer(one) for one in wheel]} if wheel else {}))
        return
    print_comparison(found, wheel, conditions.ambient_pressure)
    print_warnings([*notes, *found.warnings])
    if report is not None:
        click.echo(f"Report: {report}")


def comparison_of(
    a: str,
    b: str,
    rider: str,
    bike: str | None,
    conditions: Conditions,
    *,
    pump_step: Measure | None = None,
    secondary_step: Measure | None = None,
    draws: int = 10_000,
    seed: int = 1,
) -> tuple[Comparison, list[str]]:
    """Read the files and compare, with a spinner on the terminal while it takes."""
    from forkwright.bench.standing import standing_load
    from forkwright.hardware import load_unit
    from forkwright.tune.alike import check_alike
    from forkwright.tune.compare import compare
    from forkwright.tune.nearest_spring import PUMP_STEP, SECONDARY_STEP

    unit_a, unit_b, who = load_unit(a), load_unit(b), rider_from(rider)
    what, notes = bike_from(bike)
    check_alike(unit_a, unit_b, "compared")
    load, load_b = (standing_load(unit, who, what, conditions) for unit in (unit_a, unit_b))
    step = pump_step or what.pump_step
    with progress_bar("Comparing: tolerance draws and settings") as progress:
        found = compare(
            unit_a,
            unit_b,
            load.axial,
            load_b=load_b.axial,
            side_load=load.side,
            conditions=conditions,
            pump_step=step.si if step is not None else PUMP_STEP,
            secondary_step=secondary_step.si if secondary_step is not None else SECONDARY_STEP,
            draws=draws,
            seed=seed,
            progress=progress,
        )
    return found, notes


def wheel_sags(
    found: Comparison, rider: str, bike: str | None, conditions: Conditions
) -> tuple[WheelSag, ...]:
    """Return the sag of two shocks at the wheel; nothing for forks."""
    from forkwright.tune.compare_wheel import wheel_sags as at_the_wheel

    return at_the_wheel(found, rider_from(rider), bike_from(bike)[0], conditions)


def write_report(
    comparison: Comparison, path: Path, rider: str, conditions: Conditions, wheel: tuple[WheelSag, ...] = ()
) -> None:
    """Write the self-contained HTML report of a comparison."""
    from forkwright.hardware.files import write_whole
    from forkwright.sheets.compare_report import ReportWishes, compare_report
    from forkwright.sheets.html_report import write_html

    wishes = ReportWishes(rider, conditions, chosen_units(), wheel)
    write_whole(path, write_html(compare_report(comparison, wishes)))
