"""What the commands on the shop's store share: where it lies, opening it, the --json flag."""

from __future__ import annotations

import getpass
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from forkwright.shop.store import Store

Command = TypeVar("Command", bound=Callable[..., Any])


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


def as_json(function: Command) -> Command:
    """Add --json to a command."""
    flag = click.option("--json", "json_wanted", is_flag=True, help="Print one JSON object and nothing else.")
    return flag(function)


def user() -> str:
    """Return the computer's user, for the audit trail."""
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unknown"
