"""`forkwright spring FILE`: force, pressures and friction over the travel."""

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
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.bench.spring import SpringCurve


@click.command("spring")
@click.argument("file", type=click.Path())
@spring_setting_options
@click.option("--exponent", type=float, default=1.0, show_default=True, help="1 slow bench, 1.4 fast limit.")
@click.option("--points", type=click.IntRange(2, 100_001), default=161, show_default=True)
@quantity_option("--side-load", "force", "Force at the axle across the leg axis.", default="0 N")
@condition_options
@json_option
def command(file: str, exponent: float, points: int, side_load: Measure, as_json: bool, **given: Any) -> None:
    """Compress the unit in FILE on the virtual bench and read its spring."""
    from forkwright.bench.answers import spring_answer
    from forkwright.bench.spring import spring_curve
    from forkwright.hardware import load_unit

    day = {name: given.pop(name) for name in ("temp", "fill_temp", "altitude", "fill_altitude")}
    unit = load_unit(file)
    setting = setting_from(unit, **given)
    curve = spring_curve(
        unit, setting, conditions_from(**day), exponent=exponent, points=points, side_load=side_load.si
    )
    if as_json:
        print_json(spring_answer(curve))
    else:
        _print_table(unit.name, curve)
        print_warnings(curve.warnings)


def _print_table(name: str, curve: SpringCurve) -> None:
    import numpy as np
    from rich.table import Table

    from forkwright.physics.constants import P0
    from forkwright.units import show

    table = Table(title=f"{name}: spring (exponent {curve.exponent:g}; pressures gauge at sea level)")
    for heading in ("travel", "force", "rate", "positive", "negative", "lower leg", "friction"):
        table.add_column(heading, justify="right")
    for i in np.unique(np.linspace(0, curve.travel.size - 1, 17).round().astype(int)):
        table.add_row(
            show(curve.travel[i], "length"),
            show(curve.force[i], "force"),
            show(curve.rate[i], "stiffness"),
            *(show(p[i] - P0, "pressure") for p in (curve.positive, curve.negative, curve.lower_leg)),
            show(curve.friction[i], "force"),
        )
    console().print(table)
