"""`forkwright log LOG [LOG]`: read a ride log, or compare two."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.import_options import import_options, recording_from, taken
from forkwright.commands.options import json_option, quantity_option
from forkwright.commands.output import console, number, print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from, course_rider_options, rider_from
from forkwright.commands.progress import told_progress
from forkwright.units import InputError, Measure, parse

if TYPE_CHECKING:
    from forkwright.evidence.compare_runs import RunComparison
    from forkwright.evidence.overlay import Overlay
    from forkwright.evidence.ride_log import RideLog, Section


@click.command("log")
@click.argument("files", metavar="LOG [LOG]", nargs=-1, required=True, type=click.Path())
@quantity_option("--travel", "length", "Full travel of the unit.")
@click.option("--unit", "unit_file", type=click.Path(), help="Unit file, for its travel.")
@click.option("--channel", default="travel", show_default=True, help='For example "rear_travel".')
@quantity_option("--cutoff", "frequency", "Low-pass for travel and speed.  [default: 60 Hz]")
@click.option("--sections", "sections_file", type=click.Path(), help="Named stretches (TOML).")
@click.option(
    "--course", help="A course file, or the name of a demo stage: simulate --unit over it, laid over the log."
)
@course_rider_options
@click.option("--series", is_flag=True, help="With --json: also the travel, thinned without losing a peak.")
@click.option("--export", type=click.Path(), help="Write the use per section (.csv or .xlsx).")
@import_options
@json_option
def command(
    files: tuple[str, ...],
    travel: Measure | None,
    unit_file: str | None,
    channel: str,
    cutoff: Measure | None,
    sections_file: str | None,
    course: str | None,
    rider: str | None,
    bike: str | None,
    series: bool,
    export: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Read a ride log: sag, bottom-outs, histograms, spectrum, use per section. Two logs are compared."""
    if len(files) > 2:
        raise InputError("two logs can be compared, not more", value=str(len(files)))
    full = _full_travel(travel, unit_file)
    sections = _sections(sections_file) if sections_file else []
    low_pass = cutoff.si if cutoff is not None else None
    reading = {"full_travel": full, "channel": channel, "cutoff": low_pass, "sections": sections}
    logs, compared = _read(files, taken(given), reading)
    laid = _laid_over(logs[0], unit_file, course, rider, bike) if course else None
    if export:
        _export(logs, export)
    if as_json:
        print_json(_answer(logs, compared, laid, series))
        return
    for log in logs:
        _print_log(log)
        print_warnings(log.warnings)
    if laid:
        _print_overlay(laid)
        print_warnings(laid.warnings)
    if compared:
        _print_comparison(compared)
        print_warnings(compared.warnings)


def _read(
    files: tuple[str, ...], importing: dict[str, Any], reading: dict[str, Any]
) -> tuple[list[RideLog], RunComparison | None]:
    """Read the logs, and compare them where there are two."""
    from forkwright.evidence.compare_runs import compare_runs
    from forkwright.evidence.ride_log import read_ride

    with told_progress("Reading") as tell:
        logs = []
        for number, file in enumerate(files):
            tell(number / (len(files) + 1), file)
            logs.append(read_ride(recording_from(file, importing), **reading))
        if len(logs) < 2:
            return logs, None
        return logs, compare_runs(*logs, progress=lambda done: tell((2 + done) / 3, "comparing the two"))


def _answer(
    logs: list[RideLog], compared: RunComparison | None, laid: Overlay | None, series: bool
) -> dict[str, Any]:
    """Return the published shape of this command's answer."""
    from forkwright.evidence.ride_answers import comparison_answer, log_answer, overlay_answer
    from forkwright.evidence.spectra import spectrum

    return {
        "logs": [
            log_answer(log, spectrum(log.motion.travel, log.motion.rate, log.motion.pieces), series)
            for log in logs
        ],
        "comparison": comparison_answer(compared) if compared else None,
        "overlay": overlay_answer(laid) if laid else None,
        "warnings": [warning for log in logs for warning in log.warnings],
    }


def _full_travel(travel: Measure | None, unit_file: str | None) -> float:
    if travel is not None:
        return travel.si
    if unit_file is None:
        raise InputError("give the unit's full travel, or its file", key="--travel")
    from forkwright.hardware import load_unit

    return load_unit(unit_file).travel.si


def _laid_over(
    log: RideLog, unit_file: str | None, course: str, rider: str | None, bike: str | None
) -> Overlay:
    """Simulate the unit over a course and lay the ride over the log."""
    from forkwright.evidence.overlay import overlay
    from forkwright.hardware import load_unit
    from forkwright.ride.course_file import find_course
    from forkwright.ride.simulate import simulate

    if unit_file is None or rider is None:
        raise InputError("a simulated ride needs the unit's file and a rider", key="--course")
    found_bike, notes = bike_from(bike)
    click.echo("simulating ...", err=True)
    result = simulate(load_unit(unit_file), find_course(course), rider=rider_from(rider), bike=found_bike)
    laid = overlay(log, result.time, result.travel)
    return replace(laid, warnings=(*notes, *result.warnings, *laid.warnings))


def _sections(path: str) -> list[Section]:
    """Read named stretches: ``[[section]]`` with name, from and to (times)."""
    from forkwright.evidence.ride_log import Section
    from forkwright.hardware.files import parse_toml, read_file

    table = parse_toml(read_file(path), path)
    entries = table.get("section")
    if not isinstance(entries, list) or set(table) - {"section", "format"}:
        raise InputError("expected [[section]] entries with name, from and to", file=path)
    found = []
    for i, entry in enumerate(entries, start=1):
        if not isinstance(entry, dict) or set(entry) != {"name", "from", "to"}:
            raise InputError("a section has name, from and to", file=path, key=f"section {i}")
        try:
            found.append(
                Section(str(entry["name"]), parse(entry["from"], "time").si, parse(entry["to"], "time").si)
            )
        except InputError as fault:
            fault.file, fault.key = path, f"section {i}"
            raise
    return found


def _export(logs: list[RideLog], path: str) -> None:
    from forkwright.evidence.export import write_table
    from forkwright.evidence.ride_answers import use_columns

    write_table(path, use_columns(logs))


def _print_log(log: RideLog) -> None:
    from rich.table import Table

    table = Table(title=f"{log.source}: {log.whole.riding:.0f} s of riding at {log.motion.rate:.0f} Hz")
    for heading in ("section", "riding", "sag", "deepest", "bottom-outs", "1 % faster than", "deep"):
        table.add_column(heading, justify="left" if heading == "section" else "right")
    for use in (log.whole, *log.sections):
        table.add_row(
            use.name,
            f"{use.riding:.0f} s",
            f"{shown(use.riding_sag, 'length')} ({use.riding_sag / log.full_travel:.0%})",
            shown(use.deepest, "length"),
            str(use.bottom_outs),
            f"{number(use.compression_speed, 'speed')} in, {shown(use.rebound_speed, 'speed')} out",
            f"{use.deep:.1%}",
        )
    console().print(table)


def _print_overlay(laid: Overlay) -> None:
    console().print(
        f"simulated over measured: shifted by {laid.shift:.2f} s, correlation {laid.correlation:.2f}, "
        f"{shown(laid.rms, 'length')} apart (rms)"
    )


def _print_comparison(found: RunComparison) -> None:
    from rich.table import Table

    table = Table(title=f"second less first ({found.level:.0%} intervals, blocks of {found.block:.1f} s)")
    for heading in ("figure", "first", "second", "change", "interval", ""):
        table.add_column(heading, justify="left" if heading == "figure" else "right")
    for d in found.differences:
        factor, unit = (1000.0, "mm") if d.unit == "m" else (1.0, d.unit) if d.unit else (100.0, "%")
        numbers = [x * factor for x in (d.first, d.second, d.change.value, d.change.low, d.change.high)]
        first, second, change, low, high = (f"{x:.2f}" for x in numbers)
        table.add_row(
            d.name, first, second, f"{change} {unit}", f"{low} to {high}",
            "differs" if d.shown else "within chance",
        )  # fmt: skip
    console().print(table)
