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
    from forkwright.bench.conditions import Conditions
    from forkwright.commands.compare import comparison_of, write_report
    from forkwright.commands.compare_table import print_comparison
    from forkwright.commands.people_options import rider_words
    from forkwright.units import InputError

    a, b, rider, bike = (str(demo_file(name)) for name in ("dunlin-160", "plover-160", "rider", "bike"))
    found, notes = comparison_of(a, b, rider, bike, Conditions())
    print_comparison(found)
    print_warnings([*notes, *found.warnings])
    folder = Path(out)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise InputError(f"cannot be made: {fault.strerror or fault}", file=out) from None
    report = folder / "dunlin-and-plover.html"
    write_report(found, report, rider_words(rider), Conditions())
    click.echo(f"Report: {report.resolve()}")
