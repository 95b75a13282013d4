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
    import numpy as np

    from forkwright.ride.options import DampingTable

    pairs = np.array(_pairs(path, ("speed_m_s", "force_N")))
    try:
        return DampingTable(pairs[:, 0], pairs[:, 1])
    except InputError as fault:
        fault.file = path
        raise


def _pairs(path: str, columns: tuple[str, str]) -> list[tuple[float, float]]:
    import csv
    import math

    from forkwright.hardware.files import read_file

    try:
        rows = iter(list(csv.reader(read_file(path).splitlines())))
    except csv.Error as fault:
        raise InputError(f"this is no table: {fault}", file=path) from None
    header = [name.strip() for name in next(rows, [])]
    if header != list(columns):
        raise InputError(
            "wrong columns", file=path, line=1, value=", ".join(header), allowed=", ".join(columns)
        )
    pairs: list[tuple[float, float]] = []
    for number, row in enumerate(rows, start=2):
        try:
            first, second = (float(cell) for cell in row)
        except ValueError:
            raise InputError("not a pair of numbers", file=path, line=number, value=",".join(row)) from None
        if not (math.isfinite(first) and math.isfinite(second)):
            raise InputError("not a finite number", file=path, line=number, value=",".join(row))
        pairs.append((first, second))
    if len(pairs) < 2:
        raise InputError("two or more rows are needed", file=path)
    return pairs
