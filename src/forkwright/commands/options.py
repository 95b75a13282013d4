"""Options that several commands share: quantities as text, a unit's setting and clicks, the day."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from forkwright.units import InputError, Measure, parse

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.hardware import Setting, Unit

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


side_load_option = quantity_option(
    "--side-load", "force", "Force at the axle across the leg axis.", default="0 N"
)
pump_step_option = quantity_option("--pump-step", "pressure", "Smallest step of the shop's pump.")


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


def conditions_from(given: dict[str, Any]) -> Conditions:
    """Take the day's options out of a command's keyword arguments, and return the conditions they state."""
    from forkwright.bench.conditions import Conditions

    temp, fill_temp = given.pop("temp"), given.pop("fill_temp")
    for name, stated in (("--temp", temp), ("--fill-temp", fill_temp)):
        if not 173.15 <= stated.si <= 423.15:
            raise InputError("out of range", key=name, value=stated.text, allowed="-100 °C to 150 °C")
    altitude, fill_altitude = given.pop("altitude"), given.pop("fill_altitude")
    return Conditions.at(altitude.si, temp.si, fill_altitude.si, fill_temp.si)


def setting_from(unit: Unit, **given: Any) -> Setting:
    """Return the unit's own setting with the given entries changed, checked against the unit's limits."""
    from forkwright.hardware import check_setting, stated_setting

    setting = stated_setting(unit, **given)
    if setting is not None:
        return setting
    check_setting(unit, unit.setting)
    return unit.setting


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
