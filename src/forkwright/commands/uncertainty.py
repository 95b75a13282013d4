"""`forkwright uncertainty FILE`: bands on the answers, and which measurement to repeat."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import (
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    setting_from,
    spring_setting_options,
)
from forkwright.commands.output import console, print_json, print_warnings
from forkwright.commands.progress import progress_bar
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.tune.uncertainty import Uncertainty


@click.command("uncertainty")
@click.argument("file", type=click.Path())
@quantity_option("--load", "force", "Load along the leg axis.", required=True)
@quantity_option("--side-load", "force", "Force at the axle across the leg axis.", default="0 N")
@click.option(
    "--samples", type=click.Choice(["128", "256", "512", "1024", "2048"]), default="512", show_default=True
)
@click.option("--seed", type=int, default=1, show_default=True)
@spring_setting_options
@condition_options
@json_option
def command(
    file: str, load: Measure, side_load: Measure, samples: str, seed: int, as_json: bool, **given: Any
) -> None:
    """Say how sure the spring's answers for FILE are, and which measurement would help most."""
    from forkwright.hardware import load_unit
    from forkwright.tune.uncertainty import uncertainty

    day = {name: given.pop(name) for name in ("temp", "fill_temp", "altitude", "fill_altitude")}
    unit = load_unit(file)
    setting = setting_from(unit, **given)
    with progress_bar("Drawing units from the tolerances") as progress:
        found = uncertainty(
            unit, load.si, setting, conditions_from(**day), side_load=side_load.si, samples=int(samples),
            seed=seed, progress=progress,
        )  # fmt: skip
    if as_json:
        from forkwright.tune.uncertainty_answer import uncertainty_answer

        print_json(uncertainty_answer(found))
        return
    _print_table(unit.name, found)
    print_warnings(found.warnings)


def _print_table(name: str, found: Uncertainty) -> None:
    from rich.table import Table

    from forkwright.physics.constants import P0
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
        table.add_row(answer.name, nominal, f"{low} to {high}", answer.repeat or "", f"{share:.0%}")
    console().print(table)
    if found.repeat_first:
        click.echo(f"Measure {found.repeat_first} again first: over all answers it matters most.")
