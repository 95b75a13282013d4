"""`forkwright shop backup`, `restore`, `verify` and `migrate`: keeping the workshop's store safe."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.shop_store import (
    Desk,
    as_json,
    opened,
    opened_as_it_is,
    told_plainly,
    work_progress,
)


@click.command("backup")
@click.argument("target", type=click.Path(path_type=Path), required=False)
@as_json
@click.pass_obj
def backup(desk: Desk, /, target: Path | None, *, json_wanted: bool) -> None:
    """Write everything into one file and prove that it reads back.

    Without TARGET it goes to the backups folder beside the store.
    """
    from forkwright.shop.backup import backup_folder, backup_name, make_backup

    with opened(desk.store, create=False) as store, work_progress(quiet=json_wanted) as progress:
        facts = make_backup(
            store, target or backup_folder(desk.store) / backup_name(store), progress=progress
        )
    if json_wanted:
        print_json(asdict(facts))
        return
    click.echo(
        f"{facts.path}: {sum(facts.rows.values())} rows, {facts.pictures} pictures, read back and sound"
    )
    print_warnings(facts.warnings)


@click.command("restore")
@click.argument("source", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--yes", is_flag=True, help="Do not ask.")
@as_json
@click.pass_obj
def restore(desk: Desk, /, source: Path, *, yes: bool, json_wanted: bool) -> None:
    """Put a backup in the place of the store. Stop the workbench first; the old file is kept beside it."""
    from forkwright.shop.backup_file import check_backup
    from forkwright.shop.restore import restore as put_back

    facts = check_backup(source)
    if not yes:
        click.confirm(
            f"Replace {_without_password(desk.store)} by the backup of {facts.made_at}?", abort=True, err=True
        )
    with told_plainly(), work_progress(quiet=json_wanted) as progress:
        aside = put_back(desk.store, source, progress=progress)
    kept = None if aside is None else str(aside)
    if json_wanted:
        print_json({**asdict(facts), "old_store_kept_as": kept})
        return
    click.echo(f"restored {sum(facts.rows.values())} rows as of {facts.made_at}")
    if kept:
        click.echo(f"the old store is kept as {kept}")


@click.command("verify")
@as_json
@click.pass_obj
def verify(desk: Desk, /, *, json_wanted: bool) -> None:
    """Look the whole store over: pages, rows against the audit trail, digests, pictures.

    The newest backup beside it is tried out too. Status 1 if the store is not sound.
    """
    from forkwright.shop.backup import backups_beside
    from forkwright.shop.restore import first_taken
    from forkwright.shop.verify import verify as look_over

    with work_progress(quiet=json_wanted) as progress, opened_as_it_is(desk.store) as store:
        found = look_over(store, progress=progress)
    backups = backups_beside(desk.store)[:5]
    good, refused = first_taken(backups)
    if json_wanted:
        names = [str(path) for path in backups]
        print_json({**asdict(found), "sound": found.sound, "backups": names, "warnings": list(refused)})
    else:
        for problem in found.problems:
            click.echo(f"{problem.kind}: {problem.where}: {problem.text}")
        counted = f"{found.records} records, {found.history_entries} audit entries, {found.pictures} pictures"
        click.echo(f"{found.address}: {'sound' if found.sound else 'NOT SOUND'} ({counted})")
        if not found.sound:
            click.echo(f"To put a backup in its place: forkwright shop restore {good or 'BACKUP'}", err=True)
        print_warnings(refused)
    if not found.sound:
        raise click.exceptions.Exit(1)


@click.command("migrate")
@as_json
@click.pass_obj
def migrate(desk: Desk, /, *, json_wanted: bool) -> None:
    """Bring the tables up to this program's version; a backup is made first."""
    from forkwright.shop.backup import bring_up_to_date

    with told_plainly(), work_progress(quiet=json_wanted) as progress:
        before, after, saved = bring_up_to_date(desk.store, progress=progress)
    if json_wanted:
        print_json({"before": before, "after": after, "backup": saved, "warnings": []})
        return
    click.echo(f"tables: {before} -> {after}" if before != after else f"tables are at {after} already")
    if saved:
        click.echo(f"the store as it was: {saved}")


def _without_password(where: str) -> str:
    """Return the store's address for a question, without a password."""
    from forkwright.shop.engine import is_server

    return f"the store on {where.rsplit('@', 1)[-1]}" if is_server(where) else where
