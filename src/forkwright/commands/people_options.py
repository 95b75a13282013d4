"""Options that say who rides which bike, and reading both."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import click

from forkwright.commands.options import Command
from forkwright.units import InputError, parse

if TYPE_CHECKING:
    from forkwright.hardware import Bike, Rider

rider_option = click.option(
    "--rider", required=True, metavar="FILE|Q", help='Rider file, or a mass such as "82 kg".'
)
bike_option = click.option("--bike", metavar="FILE", help="Bike file; without one an assumed bike is named.")


def course_rider_options(command: Command) -> Command:
    """Add the rider and the bike of a simulated ride that `--course` asks for."""
    for option in reversed(
        (
            click.option(
                "--rider", metavar="FILE|Q", help='For --course: rider file, or a mass such as "82 kg".'
            ),
            click.option("--bike", type=click.Path(), help="For --course: bike file."),
        )
    ):
        command = option(command)
    return command


def rider_from(text: str) -> Rider:
    """Return the rider from a file, or from a mass such as "82 kg"."""
    from forkwright.hardware import Rider, load

    if _is_mass(text):
        return Rider(mass=parse(text, "mass"))
    found = load(text)
    if not isinstance(found, Rider):
        raise InputError("this is no rider", file=text, key="kind", value=found.kind, allowed="rider")
    return found


def rider_words(text: str) -> str:
    """Return how a printed sheet names the rider: by the name in the file, or by the mass as given."""
    return text if _is_mass(text) else rider_from(text).name


def _is_mass(text: str) -> bool:
    marked = any(mark in text for mark in " 0123456789")
    return marked and not text.endswith(".toml") and not os.path.exists(text)


def bike_from(text: str | None) -> tuple[Bike, list[str]]:
    """Return the bike from a file; without one, an assumed bike and the note that says so."""
    from forkwright.hardware import Bike, load

    if text is None:
        assumed = Bike(
            name="assumed bike",
            mass=parse("15 kg", "mass"),
            head_angle=parse("65 deg", "angle"),
            front_share=parse("0.42", "dimensionless"),
            unsprung_front=parse("3.6 kg", "mass"),
            unsprung_rear=parse("3.9 kg", "mass"),
        )
        note = "no bike given: 15 kg, head angle 65 deg, 42 % of the sprung weight in front are assumed"
        return assumed, [note]
    found = load(text)
    if not isinstance(found, Bike):
        raise InputError("this is no bike", file=text, key="kind", value=found.kind, allowed="bike")
    return found, []
