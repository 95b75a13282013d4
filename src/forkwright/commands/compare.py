"""`forkwright compare A B --rider … --bike …`: two units side by side, and B's nearest setting to A."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from forkwright.commands.options import (
    QuantityType,
    bike_from,
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    rider_from,
)
from forkwright.commands.output import console, print_json, print_warnings
from forkwright.commands.progress import progress_bar
from forkwright.units import Measure

if TYPE_CHECKING:
    from rich.table import Table

    from forkwright.bench.bands import Band
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.rear_sag import WheelSag
    from forkwright.physics.values import Array
    from forkwright.tune.compare import Comparison
    from forkwright.tune.compare_damper import DamperHalf
    from forkwright.tune.spring_figures import StepEffect


@click.command("compare")
@click.argument("a", type=click.Path())
@click.argument("b", type=click.Path())
@click.option("--rider", required=True, metavar="FILE|Q", help='Rider file, or a mass such as "82 kg".')
@click.option("--bike", metavar="FILE", help="Bike file; without one an assumed bike is named.")
@quantity_option("--pump-step", "pressure", "Smallest step of the shop's pump.")
@click.option(
    "--secondary-step", type=QuantityType("pressure"), metavar="Q", default="0.5 psi", show_default=True,
    help="Smallest step at the secondary valve.",
)  # fmt: skip
@click.option("--draws", type=click.IntRange(100, 1_000_000), default=10_000, show_default=True)
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the tolerance draws.")
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
    **day: Measure,
) -> None:
    """Compare units A and B for one rider: curves, bands, sag, steps, and the setting of B nearest to A."""
    from forkwright.bench.rear_answers import wheel_sag_answer
    from forkwright.tune.compare_answer import compare_answer

    found, notes = comparison_of(a, b, rider, bike, pump_step, secondary_step, draws, seed, day)
    wheel = wheel_sags(found, rider, bike, conditions_from(**day))
    if report is not None:
        write_report(found, Path(report), rider, conditions_from(**day), wheel)
    if as_json:
        answer = compare_answer(found) | {"warnings": [*notes, *found.warnings]}
        print_json(answer | ({"wheel": [wheel_sag_answer(one) for one in wheel]} if wheel else {}))
        return
    print_comparison(found, wheel)
    print_warnings([*notes, *found.warnings])
    if report is not None:
        click.echo(f"Report: {report}")


def comparison_of(
    a: str,
    b: str,
    rider: str,
    bike: str | None,
    pump_step: Measure | None,
    secondary_step: Measure,
    draws: int,
    seed: int,
    day: dict[str, Measure],
) -> tuple[Comparison, list[str]]:
    """Read the files and compare, with a spinner on the terminal while it takes."""
    from forkwright.bench.standing import standing_load
    from forkwright.hardware import load_unit
    from forkwright.tune.alike import check_alike
    from forkwright.tune.compare import compare
    from forkwright.tune.nearest_spring import PUMP_STEP

    unit_a, unit_b, who = load_unit(a), load_unit(b), rider_from(rider)
    what, notes = bike_from(bike)
    check_alike(unit_a, unit_b, "compared")
    conditions = conditions_from(**day)
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
            secondary_step=secondary_step.si,
            draws=draws,
            seed=seed,
            progress=progress,
        )
    return found, notes


def wheel_sags(
    found: Comparison, rider: str, bike: str | None, conditions: Conditions
) -> tuple[WheelSag, ...]:
    """Return the sag of two shocks at the wheel; nothing for forks."""
    from forkwright.bench.loads import rear_wheel_load
    from forkwright.bench.rear_sag import wheel_sag

    if found.a.unit.kind != "shock":
        return ()
    what = bike_from(bike)[0]
    load = float(rear_wheel_load(rider_from(rider), what))
    return tuple(wheel_sag(side.unit, what, load, side.setting, conditions) for side in (found.a, found.b))


def write_report(
    comparison: Comparison, path: Path, rider: str, conditions: Conditions, wheel: tuple[WheelSag, ...] = ()
) -> None:
    """Write the self-contained HTML report of a comparison."""
    from forkwright.hardware.files import write_whole
    from forkwright.sheets.compare_report import ReportWishes, compare_report
    from forkwright.sheets.html_report import write_html

    write_whole(path, write_html(compare_report(comparison, ReportWishes(rider, conditions, wheel=wheel))))


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
