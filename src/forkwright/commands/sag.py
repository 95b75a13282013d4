"""`forkwright sag FILE --load Q`: where the unit rests under a load, as a band."""

from __future__ import annotations

from typing import Any

import click

from forkwright.commands.options import (
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    setting_from,
    spring_setting_options,
)
from forkwright.commands.output import print_json, print_warnings
from forkwright.units import Measure


@click.command("sag")
@click.argument("file", type=click.Path())
@quantity_option("--load", "force", "Load along the leg axis.", required=True)
@quantity_option("--side-load", "force", "Force at the axle across the leg axis.", default="0 N")
@spring_setting_options
@condition_options
@json_option
def command(file: str, load: Measure, side_load: Measure, as_json: bool, **given: Any) -> None:
    """Say where the unit in FILE rests under a load: friction makes it a band."""
    from forkwright.bench.answers import sag_answer
    from forkwright.bench.sag import sag
    from forkwright.hardware import load_unit
    from forkwright.units import show

    day = {name: given.pop(name) for name in ("temp", "fill_temp", "altitude", "fill_altitude")}
    unit = load_unit(file)
    found = sag(unit, load.si, setting_from(unit, **given), conditions_from(**day), side_load=side_load.si)
    if as_json:
        print_json(sag_answer(found))
        return
    share = 100.0 * found.middle / unit.travel.si
    click.echo(
        f"{unit.name} under {show(load.si, 'force')}: sag {show(found.middle, 'length')} "
        f"({share:.0f} % of travel), rests anywhere from {show(found.low, 'length')} "
        f"to {show(found.high, 'length')}"
    )
    if found.rest > 0.0:
        click.echo(f"Unloaded it rests {show(found.rest, 'length')} into its travel (lost travel).")
    print_warnings(found.warnings)
