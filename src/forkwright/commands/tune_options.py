"""Options that `recommend` and `stages` share: rider, bike, wishes, margin, pump and search."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, TypeVar

import click

from forkwright.commands.options import quantity_option
from forkwright.units import InputError

Command = TypeVar("Command", bound=Callable[..., Any])


def search_options(command: Command) -> Command:
    """Add the options of a search over simulated rides."""
    for option in reversed(
        (
            click.option(
                "--rider", required=True, metavar="FILE|Q", help='Rider file, or a mass such as "82 kg".'
            ),
            click.option("--bike", type=click.Path(), help="Bike file; without one, an assumed one."),
            click.option(
                "--wish", "wishes", multiple=True,
                help='For example "more support"; grip, comfort, support or margin, more or less.',
            ),
            click.option(
                "--margin", default="0 %", show_default=True, metavar="SHARE",
                help="Share of the travel that the biggest event must leave.",
            ),
            quantity_option("--pump-step", "pressure", "Smallest step of the shop's pump."),
            quantity_option(
                "--secondary-step", "pressure", "Smallest step at the secondary valve.", default="0.5 psi"
            ),
            click.option("--workers", type=click.IntRange(1, 256), help="Processes; by default one a core."),
            click.option("--seed", type=int, default=1, show_default=True, help="Seed of the first spread."),
            click.option(
                "--draws", type=click.IntRange(0, 1000),
                help="Units, riders and bikes drawn from their tolerances for the bands; 0 leaves them out.",
            ),
        )
    ):  # fmt: skip
        command = option(command)
    return command


def share_from(text: str, key: str) -> float:
    """Return a share such as "10 %" or "0.1".

    Raises
    ------
    InputError
        If it is no number.
    """
    stripped = text.strip()
    percent = stripped.endswith("%")
    try:
        number = float(stripped.removesuffix("%"))
        if not math.isfinite(number):
            raise ValueError
    except ValueError:
        raise InputError("not a share", key=key, value=text, allowed='such as "10 %" or "0.1"') from None
    return number / 100.0 if percent else number
