"""`forkwright leakdown FILE`: leak rates from pressures over hours, and which way the gas went."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.import_options import import_options, keep_mapping, table_from, taken
from forkwright.commands.options import json_option, quantity_option
from forkwright.commands.output import console, print_json, print_warnings, unit_of
from forkwright.units import Measure, parse

if TYPE_CHECKING:
    from forkwright.evidence.ingress import Ingress
    from forkwright.evidence.leak_files import LeakDown
    from forkwright.evidence.leakdown import LeakRate


@click.command("leakdown")
@click.argument("file", type=click.Path())
@click.option("--unit", "unit_file", type=click.Path(), help="Unit file, for its chambers' volumes.")
@quantity_option("--gauge-step", "pressure", "One step of the gauge's display.", default="0 psi")
@quantity_option("--hose", "volume", "Hose of a pump that is put on anew for each reading.", default="0 ml")
@quantity_option("--altitude", "length", "Where it was read.", default="0 m")
@click.option("--level", type=click.FloatRange(0.5, 0.999), default=0.95, show_default=True)
@import_options
@json_option
def command(
    file: str,
    unit_file: str | None,
    gauge_step: Measure,
    hose: Measure,
    altitude: Measure,
    level: float,
    as_json: bool,
    **given: Any,
) -> None:
    """Find how fast the chambers in FILE lose gas, corrected for temperature, and which way it goes.

    A file with a column of rides instead of times is read as air drawn into the lower legs. Let the air out
    before any seal is touched, and follow the maker's manual.
    """
    from forkwright.evidence.importing import assemble
    from forkwright.evidence.leak_answers import ingress_answer, leak_down_answer
    from forkwright.evidence.leak_files import RIDES, chamber_volumes, ingress_from, read_leak_down
    from forkwright.hardware import load_unit
    from forkwright.physics.atmosphere import standard_pressure

    volumes = chamber_volumes(load_unit(unit_file)) if unit_file else {}
    ambient = standard_pressure(altitude.si)
    importing = taken(given)
    table, mapping = table_from(file, importing)
    if mapping.find(RIDES) is not None:
        drawn_in = ingress_from(
            table, mapping, volumes.get("lower_leg", 0.0), accept_guesses=importing["yes"], ambient=ambient,
            level=level,
        )  # fmt: skip
        keep_mapping(mapping, importing)
        if as_json:
            print_json(ingress_answer(drawn_in))
        else:
            _print_ingress(drawn_in)
            print_warnings(drawn_in.warnings)
        return
    recording = assemble(table, mapping, accept_guesses=importing["yes"])
    keep_mapping(mapping, importing)
    found = read_leak_down(
        recording, volumes, ambient=ambient, gauge_resolution=gauge_step.si, hose_volume=hose.si, level=level
    )
    if as_json:
        print_json(leak_down_answer(found))
        return
    _print_leaks(found)
    print_warnings(
        [*found.warnings, *(f"{leak.chamber}: {w}" for leak in found.leaks for w in leak.warnings)]
    )


def _print_leaks(found: LeakDown) -> None:
    from rich.table import Table

    unit = unit_of("pressure")
    a_day = 86400.0 / parse(f"1 {unit}", "pressure").si
    table = Table(title=f"{found.source}: pressure lost at the first reading's temperature")
    for heading in ("chamber", f"{unit} a day", "interval", "half gone after"):
        table.add_column(heading, justify="left" if heading == "chamber" else "right")
    for leak in found.leaks:
        low, high = leak.rate_low * a_day, leak.rate_high * a_day
        table.add_row(
            leak.chamber.replace("_", " "),
            f"{leak.rate * a_day:.3g}",
            f"{low:.3g} to {high:.3g}",
            _when(leak),
        )
    console().print(table)
    if found.verdict is not None:
        for sentence in found.verdict.sentences:
            console().print(sentence)


def _when(leak: LeakRate) -> str:
    if leak.shown:
        return f"{leak.half_life / 86400:.3g} days"
    return "gains gas" if leak.rate_high < 0 else "no leak can be shown"


def _print_ingress(found: Ingress) -> None:
    unit = unit_of("pressure")
    one = parse(f"1 {unit}", "pressure").si
    digits = 2 if unit == "psi" else 3
    gain, low, high = (f"{value / one:.{digits}f}" for value in (found.per_ride, found.low, found.high))
    console().print(f"The lower legs gain {gain} {unit} a ride ({low} to {high})")
