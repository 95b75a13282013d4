"""What the commands on the shop's store share: where it lies and who works on it, opening it, --json."""

from __future__ import annotations

import getpass
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

if TYPE_CHECKING:
    from forkwright.shop.dump import Progress
    from forkwright.shop.store import Store

store_option = click.option(
    "--store", "where", envvar="FORKWRIGHT_STORE", help="The store's file or postgresql:// address."
)

as_json = click.option("--json", "json_wanted", is_flag=True, help="Print one JSON object and nothing else.")


class Desk(NamedTuple):
    """Which store a command works on, and who is at work."""

    store: str
    actor: str


def default_store() -> str:
    """Return where the store lies when nothing else is said: the user's own folder for this program."""
    return str(Path(click.get_app_dir("forkwright")) / "shop.sqlite3")


@contextmanager
def opened(where: str, *, create: bool = True) -> Iterator[Store]:
    """Open the store; what goes wrong with disk, file or link ends as one message and status 1."""
    from forkwright.shop.store import Store

    with told_plainly(), Store.open(where, create=create) as store:
        yield store


@contextmanager
def opened_as_it_is(where: str) -> Iterator[Store]:
    """Open the store without looking at its tables, to look it over when it may be damaged or old."""
    from forkwright.shop.store import Store

    with told_plainly(), Store.open_any_version(where) as store:
        yield store


@contextmanager
def told_plainly() -> Iterator[None]:
    """End the store's troubles as one message on standard error and status 1."""
    from forkwright.shop.conflicts import Conflict
    from forkwright.shop.troubles import StoreTrouble

    try:
        yield
    except (StoreTrouble, Conflict) as trouble:
        click.echo(f"forkwright: {trouble}", err=True)
        raise click.exceptions.Exit(1) from trouble


def user() -> str:
    """Return the computer's user, for the audit trail."""
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unknown"


@contextmanager
def work_progress(*, quiet: bool) -> Iterator[Progress | None]:
    """Show how far a long piece of work on the store is, on standard error (only on a terminal)."""
    if quiet or not sys.stderr.isatty():
        yield None
        return
    from rich.progress import Progress as Bar

    from forkwright.commands.output import console

    with Bar(console=console(stderr=True), transient=True) as bar:
        task = bar.add_task("")
        yield lambda done, total, what: bar.update(
            task, completed=done, total=max(total, 1), description=what
        )
