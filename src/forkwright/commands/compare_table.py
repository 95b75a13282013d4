"""A comparison as tables and sentences on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from forkwright.commands.output import console

if TYPE_CHECKING:
    from rich.table import Table

    from forkwright.bench.bands import Band
    from forkwright.bench.rear_sag import WheelSag
    from forkwright.physics.values import Array
    from forkwright.tune.compare import Comparison
    from forkwright.tune.compare_damper import DamperHalf
    from forkwright.tune.spring_figures import StepEffect


def print_comparison(comparison: Comparison, wheel: tuple[WheelSag, ...] = ()) -> None:
    """Print the comparison as a table and sentences, of two shocks also where the wheel rests."""
    from rich.table import Table

    from forkwright.sheets.compare_damper_report import damper_sentences
    from forkwright.sheets.compare_words import (
        nearest_sentences,
        setting_words,
        summary_sentences,
        wheel_sentences,
    )
    from forkwright.units import UnitChoice

    units = UnitChoice()
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
    for label, values in _rows(comparison, len(sides)):
        table.add_row(label, *values)
    out.print(table)
    if comparison.damper is not None:
        out.print(_damper_table(comparison, comparison.damper))
    said = (*summary_sentences(comparison, units), *nearest_sentences(comparison, units)[1:])
    for sentence in (*said, *damper_sentences(comparison, units)):
        out.print(sentence)
    for sentence in wheel_sentences(comparison, wheel, units):
        click.echo(sentence)


def _rows(comparison: Comparison, columns: int) -> list[tuple[str, list[str]]]:
    from forkwright.physics.constants import P0
    from forkwright.units import show

    sides = [comparison.a, comparison.b, comparison.nearest_side][:columns]
    present = [side for side in sides if side is not None]
    rows = [
        ("sag (middle)", [show(s.sag.middle, "length") for s in present]),
        ("rests between", [f"{show(s.sag.low, 'length')} and {show(s.sag.high, 'length')}" for s in present]),
        ("lost travel", [show(s.sag.rest, "length") for s in present]),
        ("force at half travel", [_with_band(s.bands["force"], s.spring.force, 0.5) for s in present]),
        ("force at full travel", [_with_band(s.bands["force"], s.spring.force, 1.0) for s in present]),
        ("midstroke support", [f"{s.figures.midstroke_support:.2f}" for s in present]),
        ("end pressure, slow", [show(s.figures.end_pressure - P0, "pressure") for s in present]),
        ("end pressure, fast", [show(s.figures.end_pressure_fast - P0, "pressure") for s in present]),
        ("energy to bottom-out, slow", [show(s.figures.energy, "energy") for s in present]),
        ("energy to bottom-out, fast", [show(s.figures.energy_fast, "energy") for s in present]),
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
    table = Table(title=f"Dampers (oil {half.oil_temperature - 273.15:.0f} °C)")
    a, b = comparison.a.unit.name, comparison.b.unit.name
    for heading in ("shaft speed", a, b, f"{b}, {clicks} from closed"):
        table.add_column(heading, justify="right")
    difference, nearest = half.difference, half.nearest
    for i, speed in enumerate(difference.speed):
        mark = "" if difference.apart[i] else " (within tolerance)"
        table.add_row(
            f"{speed:+.2f} m/s",
            f"{nearest.wanted[i]:.0f} N ({difference.first.low[i]:.0f} to {difference.first.high[i]:.0f})",
            f"{difference.second.middle[i]:.0f} N ({difference.second.low[i]:.0f} to "
            f"{difference.second.high[i]:.0f}){mark}",
            f"{nearest.reached[i]:.0f} N",
        )
    return table


def _with_band(band: Band, values: Array, share: float) -> str:
    index = round(share * (values.size - 1))
    return f"{values[index]:.0f} N ({band.low[index]:.0f} to {band.high[index]:.0f})"


def _step_words(what: str, steps: tuple[StepEffect, ...]) -> str:
    from forkwright.units import show

    for step in steps:
        if step.what == what:
            sign = "+" if step.step > 0 else ""
            size = f"{sign}{step.step:.0f}" if what == "spacer" else f"{sign}{show(step.step, 'pressure')}"
            return f"{size}: sag {step.sag * 1e3:+.1f} mm, full travel {step.end_force:+.0f} N"
    return ""
