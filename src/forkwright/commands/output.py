"""What every command prints with: one JSON object, or a table for the eye."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import click

from forkwright.plain import plain

if TYPE_CHECKING:
    from rich.console import Console

    from forkwright.units import UnitChoice


def print_json(answer: Mapping[str, Any]) -> None:
    """Print one JSON object on standard output; a number that is not finite is refused."""
    click.echo(json.dumps(plain(answer), ensure_ascii=False, allow_nan=False))


def console(*, stderr: bool = False) -> Console:
    """Return the terminal printer (imported here, so that --json pays nothing for it)."""
    from rich.console import Console

    return Console(stderr=stderr, highlight=False)


def chosen_units() -> UnitChoice:
    """Return the units the user asked for with `--units`, the usual ones where nothing was said."""
    from forkwright.units import UnitChoice
    from forkwright.units.typed_in import read_choice

    context = click.get_current_context(silent=True)
    wanted = context.find_root().obj if context is not None else None
    return read_choice(wanted, "--units") if isinstance(wanted, str) else UnitChoice()


def shown(value: float, dimension: str) -> str:
    """Return an SI number as text, in the units the user asked for with `--units`."""
    from forkwright.units import show

    return show(value, dimension, chosen_units())


def signed(value: float, dimension: str) -> str:
    """Return a difference as `shown` does, with its sign."""
    text = shown(value, dimension)
    return text if text.startswith("-") else f"+{text}"


def number(value: float, dimension: str) -> str:
    """Return an SI number as `shown` does but without its unit, which `unit_of` gives to the heading."""
    return shown(value, dimension).rpartition(" ")[0]


def unit_of(dimension: str) -> str:
    """Return the unit that `shown` puts behind numbers of this kind."""
    from forkwright.units.show import unit_label

    return unit_label(dimension, chosen_units())


def print_warnings(warnings: tuple[str, ...] | list[str]) -> None:
    """Print warnings on standard error, one a line."""
    for warning in warnings:
        click.echo(f"Note: {warning}", err=True)


def print_bullets(lines: Iterable[str]) -> None:
    """Print lines as a list with dashes."""
    for line in lines:
        click.echo(f"- {line}")
