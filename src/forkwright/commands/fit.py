"""`forkwright fit UNIT TRACE...`: fit a unit's values to bench traces."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.import_options import import_options, recording_from, taken
from forkwright.commands.options import (
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    spring_setting_options,
)
from forkwright.commands.output import chosen_units, console, print_json, print_warnings
from forkwright.commands.progress import told_progress
from forkwright.units import Measure

if TYPE_CHECKING:
    from collections.abc import Callable

    from forkwright.evidence.recording import Recording
    from forkwright.evidence.unit_fit import UnitFit


@click.command("fit")
@click.argument("unit_file", metavar="UNIT", type=click.Path())
@click.argument("files", metavar="TRACE...", nargs=-1, required=True, type=click.Path())
@click.option(
    "--parameter", "-p", "names", multiple=True, metavar="PATH", help='For example "air_spring.bore".'
)
@click.option("--loss", type=click.Choice(["plain", "huber", "bisquare"]), default="plain", show_default=True)
@click.option("--level", type=click.FloatRange(0.5, 0.999), default=0.95, show_default=True)
@quantity_option("--force-zero", "force", "Tolerance of the load cell's zero.", default="0 N")
@quantity_option("--travel-zero", "length", "Tolerance of the travel sensor's zero.", default="0 mm")
@quantity_option("--oil-temp", "temperature", "Oil temperature of a dynamometer trace.", default="20 °C")
@click.option("--out", type=click.Path(), help="Write the fitted unit to this file.")
@click.option(
    "--residuals", type=click.Path(), help="Write measured, predicted and residual (.csv or .xlsx)."
)
@spring_setting_options
@condition_options
@import_options
@json_option
def command(
    unit_file: str,
    files: tuple[str, ...],
    names: tuple[str, ...],
    loss: str,
    level: float,
    force_zero: Measure,
    travel_zero: Measure,
    oil_temp: Measure,
    out: str | None,
    residuals: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Fit the values of UNIT to bench traces, with its tolerances as what is known beforehand.

    A trace is a slow pull both ways (travel and force), pressure over the travel, or force against speed.
    The measured values stay in the notes of the written file.
    """
    from forkwright.evidence.fit_answers import fit_report
    from forkwright.evidence.trace_reading import trace_of
    from forkwright.evidence.unit_fit import fit_unit
    from forkwright.evidence.write_back import write_fitted
    from forkwright.hardware import load_unit, stated_setting

    importing = taken(given)
    conditions = conditions_from(given)
    unit = load_unit(unit_file)
    setting = stated_setting(unit, **given)
    with told_progress("Fitting") as tell:
        recordings = [_read(file, importing, tell) for file in files]
        traces = [trace_of(r, unit, conditions, setting, oil_temp.si) for r in recordings]
        result = fit_unit(
            unit, traces, list(names) or None, force_zero=force_zero.si, travel_zero=travel_zero.si,
            loss=loss, level=level, progress=tell,
        )  # fmt: skip
    answer = fit_report(result, recordings)
    answer["written"] = str(write_fitted(result, unit_file, out)) if out else None
    if residuals:
        _write_residuals(result, residuals)
    if as_json:
        print_json(answer)
        return
    _print_table(unit.name, result)
    print_warnings([*answer["warnings"], *result.advice.sentences])


def _read(file: str, importing: dict[str, Any], tell: Callable[[float, str], None]) -> Recording:
    tell(0.0, f"reading {file}")
    return recording_from(file, importing)


def _write_residuals(result: UnitFit, path: str) -> None:
    from forkwright.evidence.export import write_table
    from forkwright.evidence.fit_answers import residual_columns

    write_table(path, residual_columns(result))


def _print_table(name: str, result: UnitFit) -> None:
    from rich.table import Table

    from forkwright.units import show_measure

    fit, units = result.fit, chosen_units()
    table = Table(title=f"{name}: fitted to {', '.join(t.name for t in result.traces)}")
    for heading in ("value", "measured", "fitted", f"{fit.level:.0%} interval ±", "learned"):
        table.add_column(heading, justify="left" if heading == "value" else "right")
    for i, p in enumerate(fit.parameters):
        value, reach = float(fit.values[i]), float(fit.high[i] - fit.values[i])
        measured, fitted, interval = (
            show_measure(Measure(*each), p.dimension, units)
            for each in ((p.start, p.tolerance), (value, float(fit.std[i])), (value, reach))
        )
        table.add_row(
            p.name, measured, fitted,
            interval.split("±")[-1].strip(), f"{fit.learned[i]:.0%}",
        )  # fmt: skip
    console().print(table)
    for trace, noise in zip(result.traces, result.noises, strict=True):
        console().print(f"{trace.name}: one sample scatters by {noise:.3g} {trace.unit_of_measured}")
