"""`forkwright shop export` and `import`: everything out in open formats, and back in."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.shop_store import Desk, as_json, opened, work_progress


@click.command("export")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "formats",
    multiple=True,
    type=click.Choice(["json", "toml", "csv", "xlsx"]),
    help="Default: all four; each holds everything.",
)
@click.option("--with-accounts", is_flag=True, help="Accounts with their password hashes, and sign-ins, too.")
@as_json
@click.pass_obj
def export(
    desk: Desk, /, folder: Path, formats: tuple[str, ...], *, with_accounts: bool, json_wanted: bool
) -> None:
    """Write everything into a new FOLDER in open formats."""
    from forkwright.shop.export import FORMATS, export_shop

    with opened(desk.store, create=False) as store, work_progress(quiet=json_wanted) as progress:
        facts = export_shop(
            store, folder, formats=formats or FORMATS, accounts=with_accounts, progress=progress
        )
    if json_wanted:
        print_json(asdict(facts))
        return
    click.echo(f"{facts.folder}: {sum(facts.rows.values())} rows, {facts.pictures} pictures")
    print_warnings(facts.warnings)


@click.command("import")
@click.argument("source", type=click.Path(exists=True, path_type=Path))
@click.option("--replace", is_flag=True, help="Take away what the store holds; a backup is made first.")
@as_json
@click.pass_obj
def import_(desk: Desk, /, source: Path, *, replace: bool, json_wanted: bool) -> None:
    """Read an export back: its folder, or one of its files."""
    from forkwright.shop.backup import backup_folder, backup_name, make_backup
    from forkwright.shop.export import import_shop

    with opened(desk.store) as store, work_progress(quiet=json_wanted) as progress:
        saved = None
        if replace:
            saved = make_backup(store, backup_folder(desk.store) / backup_name(store), progress=progress).path
        rows = import_shop(store, source, replace=replace, progress=progress)
    if json_wanted:
        print_json({"rows": rows, "backup": saved, "warnings": []})
        return
    click.echo(f"read in {sum(rows.values())} rows")
    if saved:
        click.echo(f"what was there before is in {saved}")
