"""Options that `ride` and `sweep` share: who rides what, on which tyre, with which damper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import Command, quantity_option
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.ride.options import DampingTable, RideOptions


def ride_options(command: Command) -> Command:
    """Add the options about tyre, rider's limbs, damper and heat."""
    for option in reversed(
        (
            quantity_option("--tyre-pressure", "pressure", "Tyre pressure, gauge.", default="24 psi"),
            quantity_option("--tyre-stiffness", "stiffness", "Measured tyre stiffness at that pressure."),
            click.option("--limbs", is_flag=True, help="The rider on arms and legs, not stiff on the bike."),
            click.option("--damping", type=click.Path(), help="CSV speed_m_s,force_N instead of the damper."),
            quantity_option("--oil-temp", "temperature", "Oil temperature in the damper."),
            click.option(
                "--oil-chambers", is_flag=True, help="Follow the damper's chamber pressures (slower)."
            ),
            click.option(
                "--stiffening", is_flag=True, help="Let the shims stretch as well as bend (slower)."
            ),
            click.option("--leverage", type=click.Path(), help="CSV wheel_travel_m,stroke_m of a rear unit."),
            click.option("--isothermal", is_flag=True, help="Air keeps the temperature of its chamber."),
        )
    ):
        command = option(command)
    return command


def ride_options_from(given: dict[str, Any]) -> RideOptions:
    """Take the ride's options out of a command's keyword arguments, and return what they state."""
    from forkwright.ride.options import HeatPaths, Limbs, RideOptions, Tyre

    pressure, stiffness = given.pop("tyre_pressure"), given.pop("tyre_stiffness")
    if not 2e4 <= pressure.si <= 1e6:
        raise InputError("out of range", key="--tyre-pressure", value=pressure.text, allowed="3 to 145 psi")
    points = () if stiffness is None else ((pressure.si, stiffness.si),)
    damping, oil_temp, leverage = (given.pop(name) for name in ("damping", "oil_temp", "leverage"))
    return RideOptions(
        tyre=Tyre(pressure=pressure.si, stiffness_points=points),
        heat=HeatPaths(0.0, 0.0, 0.0, 0.0) if given.pop("isothermal") else HeatPaths(),
        limbs=Limbs() if given.pop("limbs") else None,
        damping=damping_from(damping) if damping else None,
        oil_chambers=given.pop("oil_chambers"),
        stiffening=given.pop("stiffening"),
        oil_temperature=oil_temp.si if oil_temp is not None else None,
        leverage=tuple(_pairs(leverage, ("wheel_travel_m", "stroke_m"))) if leverage else (),
    )


def damping_from(path: str) -> DampingTable:
    """Read a damping table from a CSV file with columns speed_m_s and force_N."""
    from forkwright.hardware.files import read_file
    from forkwright.ride.tables import read_damping

    return read_damping(read_file(path), path)


def _pairs(path: str, columns: tuple[str, str]) -> list[tuple[float, float]]:
    from forkwright.hardware.files import read_file
    from forkwright.ride.tables import read_pairs

    return read_pairs(read_file(path), columns, path)
