"""Options that `recommend` and `stages` share: rider, bike, wishes, margin, pump and search."""

from __future__ import annotations

import math
from typing import Any

import click

from forkwright.commands.options import Command, pump_step_option, quantity_option
from forkwright.commands.people_options import rider_option
from forkwright.units import InputError


def search_options(command: Command) -> Command:
    """Add the options of a search over simulated rides."""
    for option in reversed(
        (
            rider_option,
            click.option("--bike", type=click.Path(), help="Bike file; without one, an assumed one."),
            click.option(
                "--wish", "wishes", multiple=True,
                help='For example "more support"; grip, comfort, support or margin, more or less.',
            ),
            click.option(
                "--margin", default="0 %", show_default=True, metavar="SHARE",
                help="Share of the travel that the biggest event must leave.",
            ),
            pump_step_option,
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


def search_from(given: dict[str, Any], usual_draws: int) -> dict[str, Any]:
    """Take the search's options out of a command's keyword arguments.

    Parameters
    ----------
    given : dict
    usual_draws : int
        How many draws the bands take where nothing was said.

    Returns
    -------
    dict
        Keyword arguments of `tune.recommend.recommend` and `tune.stages.stages`.
    """
    pump_step, draws = given.pop("pump_step"), given.pop("draws")
    return {
        "wishes": given.pop("wishes"),
        "margin": share_from(given.pop("margin"), "--margin"),
        "pump_step": pump_step.si if pump_step is not None else None,
        "secondary_step": given.pop("secondary_step").si,
        "workers": given.pop("workers"),
        "seed": given.pop("seed"),
        "draws": usual_draws if draws is None else draws,
    }


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
