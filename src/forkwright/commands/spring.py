"""`forkwright spring FILE`: force, pressures and friction over the travel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import (
    condition_options,
    conditions_from,
    json_option,
    setting_from,
    side_load_option,
    spring_setting_options,
)
from forkwright.commands.output import console, print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from
from forkwright.units import Measure

if TYPE_CHECKING:
    from forkwright.bench.coil import CoilReading
    from forkwright.bench.rear_spring import WheelCurve
    from forkwright.bench.spring import SpringCurve


@click.command("spring")
@click.argument("file", type=click.Path())
@spring_setting_options
@click.option("--exponent", type=float, default=1.0, show_default=True, help="1 slow bench, 1.4 fast limit.")
@click.option("--points", type=click.IntRange(2, 100_001), default=161, show_default=True)
@side_load_option
@click.option("--bike", metavar="FILE", help="For a shock: also tell what the rear wheel feels.")
@condition_options
@json_option
def command(
    file: str,
    exponent: float,
    points: int,
    side_load: Measure,
    bike: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Compress the unit in FILE on the virtual bench and read its spring."""
    from forkwright.bench.answers import spring_answer
    from forkwright.bench.coil import coil_reading
    from forkwright.bench.rear_answers import coil_answer, wheel_spring_answer
    from forkwright.bench.rear_spring import at_wheel
    from forkwright.bench.spring import spring_curve
    from forkwright.hardware import load_unit

    conditions = conditions_from(given)
    unit = load_unit(file)
    setting = setting_from(unit, **given)
    curve = spring_curve(unit, setting, conditions, exponent=exponent, points=points, side_load=side_load.si)
    wheel = at_wheel(curve, bike_from(bike)[0], conditions) if bike is not None else None
    coil = coil_reading(unit, setting)
    if as_json:
        answer = spring_answer(curve)
        answer |= {"coil": coil_answer(coil)} if coil is not None else {}
        print_json(answer | (wheel_spring_answer(wheel) if wheel is not None else {}))
        return
    _print_table(unit.name, curve)
    if coil is not None:
        _print_coil(coil)
    if wheel is not None:
        _print_wheel(unit.name, wheel)
    print_warnings((wheel or curve).warnings)


def _print_table(name: str, curve: SpringCurve) -> None:
    import numpy as np
    from rich.table import Table

    from forkwright.physics.constants import P0

    table = Table(title=f"{name}: spring (exponent {curve.exponent:g}; pressures gauge at sea level)")
    for heading in ("travel", "force", "rate", "positive", "negative", "lower leg", "friction"):
        table.add_column(heading, justify="right")
    for i in np.unique(np.linspace(0, curve.travel.size - 1, 17).round().astype(int)):
        table.add_row(
            shown(curve.travel[i], "length"),
            shown(curve.force[i], "force"),
            shown(curve.rate[i], "stiffness"),
            *(shown(p[i] - P0, "pressure") for p in (curve.positive, curve.negative, curve.lower_leg)),
            shown(curve.friction[i], "force"),
        )
    console().print(table)


def _print_wheel(name: str, curve: WheelCurve) -> None:
    import numpy as np
    from rich.table import Table

    table = Table(title=f"{name} at the rear wheel (leverage joined by a {curve.method})")
    for heading in ("wheel travel", "stroke", "leverage ratio", "force", "rate", "friction"):
        table.add_column(heading, justify="right")
    for i in np.unique(np.linspace(0, curve.wheel_travel.size - 1, 17).round().astype(int)):
        table.add_row(
            shown(curve.wheel_travel[i], "length"),
            shown(curve.stroke[i], "length"),
            f"{curve.ratio[i]:.3f}",
            shown(curve.force[i], "force"),
            shown(curve.rate[i], "stiffness"),
            shown(curve.friction[i], "force"),
        )
    console().print(table)


def _print_coil(coil: CoilReading) -> None:

    parts = [f"Coil: {shown(coil.rate, 'stiffness')} as measured"]
    if coil.rate_from_wire is not None:
        parts.append(f"{shown(coil.rate_from_wire, 'stiffness')} from its wire")
    if coil.stress is not None:
        parts.append(f"{coil.stress / 1e6:.0f} MPa in the wire at full travel")
    if coil.left_before_solid is not None:
        parts.append(f"{shown(coil.left_before_solid, 'length')} left there before the turns touch")
    console().print("; ".join(parts) + ".")
