"""`forkwright check FILE`: is the file sound, and what is out of range."""

from __future__ import annotations

import click

from forkwright.commands.options import json_option
from forkwright.commands.output import print_json, print_warnings


@click.command("check")
@click.argument("file", type=click.Path())
@json_option
def command(file: str, as_json: bool) -> None:
    """Say whether a unit, rider or bike FILE is sound; exit 2 with every fault if it is not."""
    import sys

    from forkwright.bench.checks import remarks
    from forkwright.hardware.files import examine, read_file
    from forkwright.hardware.unit import Unit

    faults, found = examine(read_file(file), file)
    if found is None:
        for fault in faults:
            click.echo(f"forkwright: {fault}", err=True)
        sys.exit(2)
    notes = remarks(found) if isinstance(found, Unit) else []
    if as_json:
        print_json({"file": file, "kind": found.kind, "name": found.name, "sound": True, "warnings": notes})
        return
    click.echo(f"{file}: sound ({found.kind} '{found.name}')")
    print_warnings(notes)
