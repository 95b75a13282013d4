"""A comparison as tables and sentences on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from forkwright.commands.output import chosen_units, console, number, shown, signed
from forkwright.physics.constants import P0, ZERO_CELSIUS

if TYPE_CHECKING:
    from rich.table import Table

    from forkwright.bench.bands import Band
    from forkwright.bench.rear_sag import WheelSag
    from forkwright.bench.sag import Sag
    from forkwright.physics.values import Array
    from forkwright.tune.compare import Comparison, Side
    from forkwright.tune.compare_damper import DamperHalf
    from forkwright.tune.spring_figures import StepEffect


def print_comparison(
    comparison: Comparison, wheel: tuple[WheelSag, ...] = (), ambient_pressure: float = P0
) -> None:
    """Print the comparison as a table and sentences, of two shocks also where the wheel rests.

    A gauge reads against `ambient_pressure`, Pa absolute.
    """
    from rich.table import Table

    from forkwright.sheets.compare_damper_report import damper_sentences
    from forkwright.sheets.compare_words import (
        nearest_sentences,
        setting_words,
        summary_sentences,
        wheel_sentences,
    )

    units = chosen_units()
    out = console()
    table = Table(title=f"{comparison.a.unit.name} and {comparison.b.unit.name} for one rider")
    table.add_column("")
    sides = [comparison.a, comparison.b]
    for side in sides:
        table.add_column(side.unit.name, justify="right")
    if comparison.nearest_side is not None:
        sides.append(comparison.nearest_side)
        table.add_column(f"{comparison.b.unit.name}, nearest to {comparison.a.unit.name}", justify="right")
    table.add_row("setting", *(setting_words(side.setting, units) for side in sides))
    for label, values in _rows(comparison, len(sides), ambient_pressure):
        table.add_row(label, *values)
    out.print(table)
    if comparison.damper is not None:
        out.print(_damper_table(comparison, comparison.damper))
    said = (*summary_sentences(comparison, units), *nearest_sentences(comparison, units)[1:])
    for sentence in (*said, *damper_sentences(comparison, units)):
        out.print(sentence)
    for sentence in wheel_sentences(comparison, wheel, units):
        click.echo(sentence)


def _rows(comparison: Comparison, columns: int, ambient: float) -> list[tuple[str, list[str]]]:
    def gauge(side: Side, pressure: float) -> str:
        return "–" if side.unit.air_spring is None else shown(pressure - ambient, "pressure")

    sides = [comparison.a, comparison.b, comparison.nearest_side][:columns]
    present = [side for side in sides if side is not None]
    rows = [
        ("sag (middle)", [shown(s.sag.middle, "length") for s in present]),
        ("rests between", [_between(s.sag) for s in present]),
        ("lost travel", [shown(s.sag.rest, "length") for s in present]),
        ("force at half travel", [_with_band(s.bands["force"], s.spring.force, 0.5) for s in present]),
        ("force at full travel", [_with_band(s.bands["force"], s.spring.force, 1.0) for s in present]),
        ("midstroke support", [f"{s.figures.midstroke_support:.2f}" for s in present]),
        ("end pressure, slow", [gauge(s, s.figures.end_pressure) for s in present]),
        ("end pressure, fast", [gauge(s, s.figures.end_pressure_fast) for s in present]),
        ("energy to bottom-out, slow", [shown(s.figures.energy, "energy") for s in present]),
        ("energy to bottom-out, fast", [shown(s.figures.energy_fast, "energy") for s in present]),
    ]
    for what in ("pressure", "spacer", "secondary pressure"):
        values = [_step_words(what, s.steps) for s in present]
        if any(values):
            rows.append((f"one step: {what}", values))
    return rows


def _damper_table(comparison: Comparison, half: DamperHalf) -> Table:
    """Damping force at the compared speeds, with bands, and B at its nearest clicks."""
    from rich.table import Table

    clicks = ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in half.nearest.clicks.items())
    table = Table(title=f"Dampers (oil {half.oil_temperature - ZERO_CELSIUS:.0f} °C)")
    a, b = comparison.a.unit.name, comparison.b.unit.name
    for heading in ("shaft speed", a, b, f"{b}, {clicks} from closed"):
        table.add_column(heading, justify="right")
    difference, nearest = half.difference, half.nearest
    first, second = difference.first, difference.second
    for i, speed in enumerate(difference.speed):
        mark = "" if difference.apart[i] else " (within tolerance)"
        table.add_row(
            f"{speed:+.2f} m/s",
            _force_with_band(nearest.wanted[i], first.low[i], first.high[i]),
            _force_with_band(second.middle[i], second.low[i], second.high[i]) + mark,
            shown(nearest.reached[i], "force"),
        )
    return table


def _with_band(band: Band, values: Array, share: float) -> str:
    index = round(share * (values.size - 1))
    return _force_with_band(values[index], band.low[index], band.high[index])


def _force_with_band(force: float, low: float, high: float) -> str:
    """Return a force with its band behind it; the unit is said once."""
    least, most = (number(edge, "force") for edge in (low, high))
    return f"{shown(force, 'force')} ({least} to {most})"


def _between(sag: Sag) -> str:
    return f"{shown(sag.low, 'length')} and {shown(sag.high, 'length')}"


def _step_words(what: str, steps: tuple[StepEffect, ...]) -> str:

    for step in steps:
        if step.what == what:
            size = f"{step.step:+.0f}" if what == "spacer" else signed(step.step, "pressure")
            sag, force = signed(step.sag, "length"), signed(step.end_force, "force")
            return f"{size}: sag {sag}, full travel {force}"
    return ""
