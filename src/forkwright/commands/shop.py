"""`forkwright shop`: keeping the workshop's store safe, and its own figures and accounts."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.shop_store import as_json, default_store, opened, opened_as_it_is, told_plainly

if TYPE_CHECKING:
    from forkwright.shop.dump import Progress


@click.group()
@click.option(
    "--store", "where", envvar="FORKWRIGHT_STORE", help="The store's file or postgresql:// address."
)
@click.option("--actor", default="", help="Who is at work.")
@click.pass_context
def command(context: click.Context, where: str | None, actor: str) -> None:
    """The workshop store: back up, restore, verify, export, import, bring up to date."""
    context.obj = (where or default_store(), actor)


@command.command("backup")
@click.argument("target", type=click.Path(path_type=Path), required=False)
@as_json
@click.pass_obj
def backup(at: tuple[str, str], /, target: Path | None, *, json_wanted: bool) -> None:
    """Write everything into one file and prove that it reads back.

    Without TARGET it goes to the backups folder beside the store.
    """
    from forkwright.shop.backup import backup_folder, backup_name, make_backup

    with opened(at[0], create=False) as store, _progress(quiet=json_wanted) as progress:
        facts = make_backup(store, target or backup_folder(at[0]) / backup_name(store), progress=progress)
    if json_wanted:
        print_json(asdict(facts))
        return
    click.echo(
        f"{facts.path}: {sum(facts.rows.values())} rows, {facts.pictures} pictures, read back and sound"
    )
    print_warnings(facts.warnings)


@command.command("restore")
@click.argument("source", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--yes", is_flag=True, help="Do not ask.")
@as_json
@click.pass_obj
def restore(at: tuple[str, str], /, source: Path, *, yes: bool, json_wanted: bool) -> None:
    """Put a backup in the place of the store. Stop the workbench first; the old file is kept beside it."""
    from forkwright.shop.backup_file import check_backup
    from forkwright.shop.restore import restore as put_back

    facts = check_backup(source)
    if not yes:
        click.confirm(
            f"Replace {default_or_hidden(at[0])} by the backup of {facts.made_at}?", abort=True, err=True
        )
    with told_plainly(), _progress(quiet=json_wanted) as progress:
        aside = put_back(at[0], source, progress=progress)
    kept = None if aside is None else str(aside)
    if json_wanted:
        print_json({**asdict(facts), "old_store_kept_as": kept})
        return
    click.echo(f"restored {sum(facts.rows.values())} rows as of {facts.made_at}")
    if kept:
        click.echo(f"the old store is kept as {kept}")


@command.command("verify")
@as_json
@click.pass_obj
def verify(at: tuple[str, str], /, *, json_wanted: bool) -> None:
    """Look the whole store over: pages, rows against the audit trail, digests, pictures.

    The newest backup beside it is tried out too. Status 1 if the store is not sound.
    """
    from forkwright.shop.backup import backups_beside
    from forkwright.shop.restore import first_taken
    from forkwright.shop.verify import verify as look_over

    with _progress(quiet=json_wanted) as progress, opened_as_it_is(at[0]) as store:
        found = look_over(store, progress=progress)
    backups = backups_beside(at[0])[:5]
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


@command.command("export")
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
    at: tuple[str, str], /, folder: Path, formats: tuple[str, ...], *, with_accounts: bool, json_wanted: bool
) -> None:
    """Write everything into a new FOLDER in open formats."""
    from forkwright.shop.export import FORMATS, export_shop

    with opened(at[0], create=False) as store, _progress(quiet=json_wanted) as progress:
        facts = export_shop(
            store, folder, formats=formats or FORMATS, accounts=with_accounts, progress=progress
        )
    if json_wanted:
        print_json(asdict(facts))
        return
    click.echo(f"{facts.folder}: {sum(facts.rows.values())} rows, {facts.pictures} pictures")
    print_warnings(facts.warnings)


@command.command("import")
@click.argument("source", type=click.Path(exists=True, path_type=Path))
@click.option("--replace", is_flag=True, help="Take away what the store holds; a backup is made first.")
@as_json
@click.pass_obj
def import_(at: tuple[str, str], /, source: Path, *, replace: bool, json_wanted: bool) -> None:
    """Read an export back: its folder, or one of its files."""
    from forkwright.shop.backup import backup_folder, backup_name, make_backup
    from forkwright.shop.export import import_shop

    with opened(at[0]) as store, _progress(quiet=json_wanted) as progress:
        saved = None
        if replace:
            saved = make_backup(store, backup_folder(at[0]) / backup_name(store), progress=progress).path
        rows = import_shop(store, source, replace=replace, progress=progress)
    if json_wanted:
        print_json({"rows": rows, "backup": saved, "warnings": []})
        return
    click.echo(f"read in {sum(rows.values())} rows")
    if saved:
        click.echo(f"what was there before is in {saved}")


@command.command("migrate")
@as_json
@click.pass_obj
def migrate(at: tuple[str, str], /, *, json_wanted: bool) -> None:
    """Bring the tables up to this program's version; a backup is made first."""
    from forkwright.shop.backup import bring_up_to_date

    with told_plainly(), _progress(quiet=json_wanted) as progress:
        before, after, saved = bring_up_to_date(at[0], progress=progress)
    if json_wanted:
        print_json({"before": before, "after": after, "backup": saved, "warnings": []})
        return
    click.echo(f"tables: {before} -> {after}" if before != after else f"tables are at {after} already")
    if saved:
        click.echo(f"the store as it was: {saved}")


@command.command("figure")
@click.argument("kind")
@click.argument("item")
@click.argument("value")
@click.option("--unit", "unit_name", default="", help="For units of this name only.")
@click.option("--source", default="", help="Manual, edition, page.")
@as_json
@click.pass_obj
def figure(
    at: tuple[str, str],
    /,
    kind: str,
    item: str,
    value: str,
    unit_name: str,
    source: str,
    *,
    json_wanted: bool,
) -> None:
    """Enter one of the shop's own figures from the maker's manual: torque, pressure, oil, wear, interval."""
    from forkwright.shop.register import add_figure

    with opened(at[0]) as store, store.change(at[1]) as session:
        added = add_figure(session, kind=kind, item=item, value=value, unit_name=unit_name, source=source)
        names = ("id", "kind", "unit_name", "item", "value", "source")
        facts = {name: getattr(added, name) for name in names}
    warnings = [] if source else ["no source entered: say in which manual and on which page it stands"]
    if json_wanted:
        print_json({**facts, "warnings": warnings})
        return
    click.echo(f"{kind}: {item} = {value}")
    print_warnings(warnings)


@command.command("account")
@click.argument("name")
@click.option("--role", type=click.Choice(["technician", "front desk", "read-only"]), help="Makes a new one.")
@click.option("--disable/--enable", "disabled", default=None, help="Shut out, or let in again.")
@click.option("--new-password", is_flag=True, help="Set another password; ends its running sessions.")
@click.pass_obj
def account(
    at: tuple[str, str], /, name: str, role: str | None, *, disabled: bool | None, new_password: bool
) -> None:
    """Make or change an account for the shared workbench. The password is asked for, never an argument."""
    from forkwright.shop.accounts import add_account, disable, find_account, set_password
    from forkwright.units import InputError

    password = ""
    if role is not None or new_password:
        password = click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
    with opened(at[0]) as store, store.change(at[1]) as session:
        if role is not None:
            add_account(session, name=name, role=role, password=password)
        else:
            found = find_account(session, name)
            if found is None:
                raise InputError("there is no such account", key="name", value=name)
            if new_password:
                set_password(session, found, password)
            if disabled is not None:
                disable(session, found, disabled=disabled)
    click.echo("done")


@command.command("signins")
@click.option("--most", type=click.IntRange(1, 10_000), default=50, show_default=True)
@as_json
@click.pass_obj
def signins(at: tuple[str, str], /, *, most: int, json_wanted: bool) -> None:
    """Latest tries to sign in to the shared workbench, good and bad, newest first."""
    from forkwright.commands.job_told import print_table
    from forkwright.shop.accounts_signin import attempts
    from forkwright.shop.columns import moment_text

    with opened(at[0]) as store, store.look() as session:
        lines = [
            {"at": moment_text(each.at), "name": each.name, "address": each.address, "outcome": each.outcome}
            for each in attempts(session, most=most)
        ]
    if json_wanted:
        print_json({"sign_ins": lines, "warnings": []})
        return
    print_table(lines, ("at", "name", "address", "outcome"))


def default_or_hidden(where: str) -> str:
    """Return the store's address for a question, without a password."""
    from forkwright.shop.engine import is_server

    return f"the store on {where.rsplit('@', 1)[-1]}" if is_server(where) else where


@contextmanager
def _progress(*, quiet: bool) -> Iterator[Progress | None]:
    """Show how far a long piece of work is, on standard error; ctrl-C stops it."""
    if quiet:
        yield None
        return
    from rich.progress import Progress as Bar

    from forkwright.commands.output import console

    with Bar(console=console(stderr=True), transient=True) as bar:
        task = bar.add_task("")
        yield lambda done, total, what: bar.update(
            task, completed=done, total=max(total, 1), description=what
        )
