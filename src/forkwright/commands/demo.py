"""`forkwright demo`: the main job on the two demonstration forks, with the report."""

from __future__ import annotations

from pathlib import Path

import click

from forkwright.commands.output import print_warnings


@click.command("demo")
@click.option(
    "--out", type=click.Path(), default="forkwright-demo", show_default=True, help="Folder to write to."
)
def command(out: str) -> None:
    """Compare the two demonstration forks for the demonstration rider and write the report."""
    from forkwright import demo_file
    from forkwright.commands.compare import comparison_of, print_comparison, write_report
    from forkwright.commands.options import conditions_from
    from forkwright.hardware import load
    from forkwright.units import InputError, parse

    day = {name: parse("20 °C", "temperature") for name in ("temp", "fill_temp")}
    day |= {name: parse("0 m", "length") for name in ("altitude", "fill_altitude")}
    files = [str(demo_file(name)) for name in ("dunlin-160", "plover-160", "rider", "bike")]
    a, b, rider, bike = files
    found, notes = comparison_of(a, b, rider, bike, None, parse("0.5 psi", "pressure"), 10_000, 1, day)
    print_comparison(found)
    print_warnings([*notes, *found.warnings])
    folder = Path(out)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise InputError(f"cannot be made: {fault.strerror or fault}", file=out) from None
    report = folder / "dunlin-and-plover.html"
    write_report(found, report, load(rider).name, conditions_from(**day))
    click.echo(f"Report: {report.resolve()}")
