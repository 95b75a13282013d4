"""`forkwright sag FILE --load Q`: where the unit rests under a load, as a band; a shock also at the wheel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import (
    condition_options,
    conditions_from,
    json_option,
    quantity_option,
    setting_from,
    side_load_option,
    spring_setting_options,
)
from forkwright.commands.output import print_json, print_warnings, shown
from forkwright.commands.people_options import bike_from, rider_from
from forkwright.units import InputError, Measure

if TYPE_CHECKING:
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.rear_sag import WheelSag
    from forkwright.bench.sag import Sag
    from forkwright.hardware import Bike, Setting, Unit


@click.command("sag")
@click.argument("file", type=click.Path())
@quantity_option("--load", "force", "Load along the unit's axis.")
@quantity_option("--wheel-load", "force", "For a shock, with --bike: the load at the rear wheel instead.")
@click.option("--rider", metavar="FILE|Q", help="Take the load from this rider on the bike instead.")
@click.option(
    "--bike", metavar="FILE", help="For a shock: its leverage; without one, forks ride an assumed bike."
)
@side_load_option
@spring_setting_options
@condition_options
@json_option
def command(
    file: str,
    load: Measure | None,
    wheel_load: Measure | None,
    rider: str | None,
    bike: str | None,
    side_load: Measure,
    as_json: bool,
    **given: Any,
) -> None:
    """Say where the unit in FILE rests under a load: friction makes it a band.

    Give one of --load, --wheel-load and --rider.
    """
    from forkwright.bench.answers import sag_answer
    from forkwright.bench.rear_answers import wheel_sag_answer
    from forkwright.hardware import load_unit

    if sum(given_load is not None for given_load in (load, wheel_load, rider)) != 1:
        raise InputError("give one load", allowed="one of --load, --wheel-load, --rider")
    conditions = conditions_from(given)
    unit = load_unit(file)
    what, notes = (None, []) if bike is None and rider is None else bike_from(bike)
    at = setting_from(unit, **given), conditions
    if wheel_load is not None or (rider is not None and unit.kind == "shock"):
        wheel: WheelSag | None = _wheel_sag(unit, what, wheel_load, rider, *at)
        assert wheel is not None
        found = wheel.shock
    else:
        found, wheel = _axial_sag(unit, what, load, rider, side_load, *at)
    if as_json:
        answer = sag_answer(found) | (wheel_sag_answer(wheel) if wheel is not None else {})
        print_json(answer | {"warnings": [*notes, *answer["warnings"]]})
        return
    _print(unit, found, wheel)
    print_warnings([*notes, *(wheel.warnings if wheel is not None else found.warnings)])


def _wheel_sag(
    unit: Unit, bike: Bike | None, load: Measure | None, rider: str | None, setting: Setting, day: Conditions
) -> WheelSag:
    """A shock under a load at the wheel, its damper's gas and seal included."""
    from forkwright.bench.loads import rear_wheel_load
    from forkwright.bench.rear_sag import wheel_sag

    if bike is None:
        raise InputError("a load at the wheel needs the bike with its leverage", key="--bike")
    at_wheel = load.si if load is not None else float(rear_wheel_load(rider_from(str(rider)), bike))
    return wheel_sag(unit, bike, at_wheel, setting, day)


def _axial_sag(
    unit: Unit,
    bike: Bike | None,
    load: Measure | None,
    rider: str | None,
    side_load: Measure,
    setting: Setting,
    day: Conditions,
) -> tuple[Sag, WheelSag | None]:
    """A unit under a load along its axis, the spring alone; or a fork under a rider, its damper's gas
    included."""
    from forkwright.bench.rear_linkage import linkage_of
    from forkwright.bench.rear_sag import at_the_wheel
    from forkwright.bench.sag import sag
    from forkwright.bench.standing import standing_sag

    if rider is not None and bike is not None:
        return standing_sag(unit, rider_from(rider), bike, setting, day), None
    found = sag(unit, load.si if load is not None else 0.0, setting, day, side_load=side_load.si)
    if unit.kind == "shock" and bike is not None:
        return found, at_the_wheel(found, unit, linkage_of(bike))
    return found, None


def _print(unit: Unit, found: Sag, wheel: WheelSag | None) -> None:

    share = 100.0 * found.middle / unit.travel.si
    click.echo(
        f"{unit.name} under {shown(found.load, 'force')}: sag {shown(found.middle, 'length')} "
        f"({share:.0f} % of travel), rests anywhere from {shown(found.low, 'length')} "
        f"to {shown(found.high, 'length')}"
    )
    if wheel is not None:
        click.echo(
            f"At the wheel, under {shown(wheel.wheel_load, 'force')}: sag {shown(wheel.middle, 'length')} "
            f"({100.0 * wheel.middle / wheel.full:.0f} % of {shown(wheel.full, 'length')}), from "
            f"{shown(wheel.low, 'length')} to {shown(wheel.high, 'length')}; leverage ratio there "
            f"{wheel.ratio:.2f}"
        )
    if found.rest > 0.0:
        click.echo(f"Unloaded it rests {shown(found.rest, 'length')} into its travel (lost travel).")
