"""`forkwright hose FILE`: what connecting a pump takes from each chamber."""

from __future__ import annotations

from typing import Any

import click

from forkwright.commands.options import json_option, quantity_option, setting_from, spring_setting_options
from forkwright.commands.output import print_json, shown
from forkwright.units import Measure


@click.command("hose")
@click.argument("file", type=click.Path())
@quantity_option("--hose-volume", "volume", "Volume of hose and pump head.", default="10 ml")
@spring_setting_options
@json_option
def command(file: str, hose_volume: Measure, as_json: bool, **given: Any) -> None:
    """Say what a pump reads after it is connected to FILE's chambers, and what to bring it back to."""
    from forkwright.bench.answers import hose_answer
    from forkwright.bench.hose import hose_readings
    from forkwright.hardware import load_unit

    unit = load_unit(file)
    found = hose_readings(unit, hose_volume.si, setting_from(unit, **given))
    if as_json:
        print_json(hose_answer(hose_volume.si, found) | {"warnings": []})
        return
    for reading in found:
        before, after = (shown(value, "pressure") for value in (reading.before, reading.after))
        click.echo(
            f"{reading.chamber} chamber ({shown(reading.volume, 'volume')}): {before} becomes {after} "
            f"with the pump on; pump back to {before} before disconnecting to keep it."
        )
    click.echo("Keep to the maker's pressure limit, and wear eye protection at the valve.")
