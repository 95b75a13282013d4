"""`forkwright chassis FILE`: bushing loads, their friction, and fore-aft stiffness over the travel."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from forkwright.commands.options import json_option, quantity_option
from forkwright.commands.output import console, print_json, print_warnings, shown
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.bench.chassis import ChassisCurve


@click.command("chassis")
@click.argument("file", type=click.Path())
@quantity_option("--axle-force", "force", "Force at the axle across the leg axis, fore-aft.", default="300 N")
@click.option("--points", type=click.IntRange(2, 10_001), default=33, show_default=True)
@json_option
def command(file: str, axle_force: Measure, points: int, as_json: bool) -> None:
    """Say what the bushings of the fork in FILE carry and how stiff it is, over its travel."""
    import numpy as np

    from forkwright.bench.answers import chassis_answer
    from forkwright.bench.chassis import chassis_curve, check_fork
    from forkwright.hardware import load_unit

    unit = load_unit(file)
    check_fork(unit)
    curve = chassis_curve(unit, axle_force.si, np.linspace(0.0, unit.travel.si, points))
    if as_json:
        print_json(chassis_answer(curve))
        return
    _print_table(unit.name, curve)
    print_warnings(curve.warnings)


def _print_table(name: str, curve: ChassisCurve) -> None:
    import numpy as np
    from rich.table import Table

    table = Table(title=f"{name}: chassis")
    for heading in (
        "travel",
        "crown to upper bushing",
        "stiffness at the axle",
        "lower",
        "upper",
        "friction",
    ):
        table.add_column(heading, justify="right")
    for i in np.unique(np.linspace(0, curve.travel.size - 1, 9).round().astype(int)):
        table.add_row(
            shown(curve.travel[i], "length"),
            shown(curve.crown_to_upper[i], "length"),
            shown(curve.axle_stiffness[i], "stiffness"),
            *(shown(load[i], "force") for load in (curve.lower, curve.upper, curve.friction)),
        )
    console().print(table)
