"""Options that several commands share: quantities as text, settings, conditions, rider and bike."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from forkwright.units import InputError, Measure, parse

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.hardware import Bike, Rider, Setting, Unit

Command = TypeVar("Command", bound=Callable[..., Any])

json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object, SI numbers.")


class QuantityType(click.ParamType[Measure]):
    """A number with a unit, read into a `Measure`; the fault is told in the one error's words."""

    name = "quantity"

    def __init__(self, dimension: str) -> None:
        self.dimension = dimension

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Measure:  # noqa: ARG002 - click
        """Parse text; a `Measure` passes through."""
        if isinstance(value, Measure):
            return value
        try:
            return parse(str(value), self.dimension)
        except InputError as fault:
            fault.key = f"--{param.name.replace('_', '-')}" if param is not None and param.name else None
            raise fault from None


def quantity_option(flag: str, dimension: str, help_text: str, **more: Any) -> Callable[[Command], Command]:
    """Return a click option that takes a quantity such as "85 psi"."""
    return click.option(flag, type=QuantityType(dimension), metavar="Q", help=help_text, **more)


def spring_setting_options(command: Command) -> Command:
    """Add the options that change a spring's setting."""
    for option in reversed(
        (
            quantity_option("--pressure", "pressure", "Main pressure, gauge."),
            click.option("--spacers", type=int, metavar="N", help="Number of volume spacers."),
            quantity_option(
                "--floating", "pressure", "Secondary pressure behind the floating piston, gauge."
            ),
            quantity_option("--negative-pressure", "pressure", "Negative chamber with its own valve, gauge."),
            quantity_option("--preload", "length", "Preload of a coil spring."),
        )
    ):
        command = option(command)
    return command


def click_options(command: Command) -> Command:
    """Add the options that turn the adjusters; `clicked` puts them into a setting."""
    for name, words in (
        ("rebound", "Rebound"),
        ("high-speed", "High-speed compression"),
        ("low-speed", "Low-speed compression"),
    ):
        told = f"{words} clicks from fully closed."
        command = click.option(f"--{name}", type=int, metavar="N", help=told)(command)
    return command


def condition_options(command: Command) -> Command:
    """Add the options that change the day: temperature and altitude, now and at filling."""
    for option in reversed(
        (
            quantity_option("--temp", "temperature", "Temperature of the gas now.", default="20 °C"),
            quantity_option("--fill-temp", "temperature", "Temperature when it was filled.", default="20 °C"),
            quantity_option("--altitude", "length", "Altitude now.", default="0 m"),
            quantity_option("--fill-altitude", "length", "Altitude where it was filled.", default="0 m"),
        )
    ):
        command = option(command)
    return command


def conditions_from(
    temp: Measure, fill_temp: Measure, altitude: Measure, fill_altitude: Measure
) -> Conditions:
    """Return the conditions that the options state."""
    from forkwright.bench.conditions import Conditions

    for name, given in (("--temp", temp), ("--fill-temp", fill_temp)):
        if not 173.15 <= given.si <= 423.15:
            raise InputError("out of range", key=name, value=given.text, allowed="-100 °C to 150 °C")
    return Conditions.at(altitude.si, temp.si, fill_altitude.si, fill_temp.si)


def setting_from(unit: Unit, **given: Any) -> Setting:
    """Return the unit's own setting with the given entries changed, checked against the unit's limits."""
    from forkwright.hardware import check_setting

    stated = {name: value for name, value in given.items() if value is not None}
    setting = unit.setting.changed(**stated) if stated else unit.setting
    check_setting(unit, setting)
    return setting


def clicked(unit: Unit, **clicks: int | None) -> Setting:
    """Return the unit's setting with some clicks replaced.

    Raises
    ------
    InputError
        If a click is below zero, beyond the adjuster, or the adjuster does not exist.
    """
    from forkwright.hardware import check_setting

    given = {name: number for name, number in clicks.items() if number is not None}
    ranges = unit.damper.click_ranges() if unit.damper is not None else {}
    for name, number in given.items():
        option = f"--{name.replace('_', '-')}"
        if unit.damper is None or name not in ranges:
            raise InputError("the unit has no such adjuster", key=option, value=str(number))
        if not 0 <= number <= ranges[name]:
            reason = "a needle cannot go below closed" if number < 0 else "more clicks than the adjuster has"
            raise InputError(reason, key=option, value=str(number), allowed=f"0 to {ranges[name]}")
    setting = unit.setting.changed(**given)
    check_setting(unit, setting)
    return setting


def rider_from(text: str) -> Rider:
    """Return the rider from a file, or from a mass such as "82 kg"."""
    from forkwright.hardware import Rider, load

    if (
        not os.path.exists(text)
        and any(mark in text for mark in " 0123456789")
        and not text.endswith(".toml")
    ):
        return Rider(mass=parse(text, "mass"))
    found = load(text)
    if not isinstance(found, Rider):
        raise InputError("this is no rider", file=text, key="kind", value=found.kind, allowed="rider")
    return found


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
