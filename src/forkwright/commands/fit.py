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
    setting_from,
    spring_setting_options,
)
from forkwright.commands.output import console, print_json, print_warnings
from forkwright.units import InputError, Measure

if TYPE_CHECKING:
    from forkwright.bench import Conditions
    from forkwright.evidence.recording import Recording
    from forkwright.evidence.traces import Trace
    from forkwright.evidence.unit_fit import UnitFit
    from forkwright.hardware import Setting, Unit


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
    from forkwright.evidence.answers import fit_answer
    from forkwright.evidence.unit_fit import fit_unit
    from forkwright.evidence.write_back import write_fitted
    from forkwright.hardware import load_unit

    importing = taken(given)
    day = {name: given.pop(name) for name in ("temp", "fill_temp", "altitude", "fill_altitude")}
    unit = load_unit(unit_file)
    setting = setting_from(unit, **given) if any(v is not None for v in given.values()) else None
    recordings = [recording_from(file, importing) for file in files]
    traces = [_trace(r, unit, conditions_from(**day), setting, oil_temp.si) for r in recordings]
    result = fit_unit(
        unit, traces, list(names) or None, force_zero=force_zero.si, travel_zero=travel_zero.si, loss=loss,
        level=level, progress=None if as_json else lambda words: click.echo(words + " ...", err=True),
    )  # fmt: skip
    answer = fit_answer(result)
    answer["warnings"] = [*(w for r in recordings for w in r.warnings), *answer["warnings"]]
    answer["loop"] = _loop(recordings)
    answer["written"] = str(write_fitted(result, unit_file, out)) if out else None
    if residuals:
        _write_residuals(result, residuals)
    if as_json:
        print_json(answer)
        return
    _print_table(unit.name, result)
    print_warnings([*answer["warnings"], *result.advice.sentences])


def _trace(
    recording: Recording, unit: Unit, conditions: Conditions, setting: Setting | None, oil_temperature: float
) -> Trace:
    """Say from its channels what kind of trace a recording is."""
    from forkwright.evidence.traces import damping_trace, pressure_trace, spring_trace

    channels = recording.channels.keys()
    if {"travel", "force"} <= channels:
        return spring_trace(recording, unit, conditions, setting)
    if {"speed", "force"} <= channels:
        return damping_trace(recording, unit, oil_temperature, setting)
    if "travel" in channels and any(name.endswith("pressure") for name in channels):
        return pressure_trace(recording, unit, conditions, setting)
    raise InputError(
        "no trace to fit to: it needs travel and force, speed and force, or travel and pressure",
        file=recording.source,
        value=", ".join(channels) or "no channel",
    )


def _loop(recordings: list[Recording]) -> dict[str, Any] | None:
    """Return what the first slow pull shows by itself, before any model."""
    from forkwright.evidence.answers import loop_answer
    from forkwright.evidence.friction_loop import friction_loop

    for recording in recordings:
        if {"travel", "force"} <= recording.channels.keys():
            try:
                return loop_answer(friction_loop(recording["travel"], recording["force"], recording.time))
            except InputError:
                return None  # a pull one way still has a spring to fit, but no loop
    return None


def _write_residuals(result: UnitFit, path: str) -> None:
    from forkwright.evidence.export import write_table

    columns: dict[str, list[str | float | int | None]] = {
        key: [] for key in ("trace", "axis", "along", "measured", "predicted", "residual")
    }
    for trace, predicted in zip(result.traces, result.predicted(), strict=True):
        axis, along = trace.along
        n = along.size
        for key, values in zip(
            columns,
            ([trace.name] * n, [axis] * n, along.tolist(), trace.measured.tolist(), predicted.tolist(),
             (trace.measured - predicted).tolist()),
            strict=True,
        ):  # fmt: skip
            columns[key] += values
    write_table(path, columns)


def _print_table(name: str, result: UnitFit) -> None:
    from rich.table import Table

    from forkwright.units import show_measure

    fit = result.fit
    table = Table(title=f"{name}: fitted to {', '.join(t.name for t in result.traces)}")
    for heading in ("value", "measured", "fitted", f"{fit.level:.0%} interval ±", "learned"):
        table.add_column(heading, justify="left" if heading == "value" else "right")
    for i, p in enumerate(fit.parameters):
        shown = show_measure(Measure(float(fit.values[i]), float(fit.std[i])), p.dimension)
        reach = show_measure(Measure(float(fit.values[i]), float(fit.high[i] - fit.values[i])), p.dimension)
        table.add_row(
            p.name, show_measure(Measure(p.start, p.tolerance), p.dimension), shown,
            reach.split("±")[-1].strip(), f"{fit.learned[i]:.0%}",
        )  # fmt: skip
    console().print(table)
    for trace, noise in zip(result.traces, result.noises, strict=True):
        console().print(f"{trace.name}: one sample scatters by {noise:.3g} {trace.unit_of_measured}")
