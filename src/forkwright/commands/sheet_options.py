"""What the sheet commands take: units, the day, ranges of temperature and altitude, services, endings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import Command, quantity_option
from forkwright.units import InputError, UnitChoice

if TYPE_CHECKING:
    from forkwright.sheets.card_of_unit import CardDay


def out_option(ending: str) -> Callable[[Command], Command]:
    """Return the option that names the file to write."""
    text = f"File to write, ending in {ending}."
    return click.option("--out", type=click.Path(dir_okay=False), required=True, metavar="FILE", help=text)


def units_options(wrapped: Command) -> Command:
    """Add the options for the units that are printed."""
    for option in (
        click.option("--temperature-unit", type=click.Choice(["°C", "°F"]), default="°C", show_default=True),
        click.option("--length-unit", type=click.Choice(["mm", "in"]), default="mm", show_default=True),
        click.option("--pressure-unit", type=click.Choice(["psi", "bar", "kPa"]), default="psi",
                     show_default=True),
    ):  # fmt: skip
        wrapped = option(wrapped)
    return wrapped


def day_options(wrapped: Command) -> Command:
    """Add the day it was set, and the ranges the tables answer for."""
    for option in (
        click.option("--altitudes", metavar="LIST", help='Such as "0 m, 1500 m"; at most 8.'),
        click.option("--temperatures", metavar="LIST", help='Such as "-5 °C, 10 °C, 25 °C"; at most 12.'),
        quantity_option("--set-altitude", "length", "Altitude of the workshop.", default="0 m"),
        quantity_option("--set-temp", "temperature", "Temperature in the workshop.", default="20 °C"),
    ):
        wrapped = option(wrapped)
    return wrapped


def ending_of(out: str, allowed: tuple[str, ...]) -> str:
    """Return the file's ending; InputError when it is none of the allowed."""
    ending = Path(out).suffix.lower()
    if ending not in allowed:
        raise InputError(
            "this kind of file is not written here", key="--out", value=out, allowed=" or ".join(allowed)
        )
    return ending


def units_from(given: dict[str, Any]) -> UnitChoice:
    """Take the units from the options."""
    return UnitChoice(
        pressure=given.pop("pressure_unit"),
        length=given.pop("length_unit"),
        temperature=given.pop("temperature_unit"),
    )


def day_from(given: dict[str, Any]) -> CardDay:
    """Take the day and the ranges from the options; InputError when out of range."""
    from forkwright.sheets.card_day import card_day

    keys = ("--set-temp", "--set-altitude", "--temperatures", "--altitudes")
    temperature, altitude = given.pop("set_temp"), given.pop("set_altitude")
    return card_day(temperature, altitude, given.pop("temperatures"), given.pop("altitudes"), keys)
