"""`forkwright damper`: force, chamber pressures and cavitation margin of a unit's damper against speed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from forkwright.commands.options import click_options, clicked

if TYPE_CHECKING:
    from rich.table import Table

    from forkwright.bench.damping import DampingCurve
    from forkwright.bench.damping_variations import ClickEffect
    from forkwright.bench.rear_damping import WheelDamping


@click.command()
@click.argument("file", type=click.Path())
@click_options
@click.option("--oil-temp", metavar="Q", help="Oil temperature, such as '40 °C'. Without it: 20 °C.")
@click.option(
    "--speeds",
    metavar="LIST",
    help="Speeds separated by commas, such as '-1 m/s, 0.5 m/s' (a bare number is m/s); positive in "
    "compression. Without it: 201 speeds from -5 to 5 m/s.",
)
@click.option(
    "--position", metavar="Q", help="Compression at which the reservoir stands. Without it: mid-travel."
)
@click.option("--altitude", metavar="Q", help="Height above the sea, for the pressure outside.")
@click.option("--stiffening", is_flag=True, help="Let the shims stretch as well as bend (slower).")
@click.option(
    "--clicks", "show_clicks", is_flag=True, help="Also tell what one click of each adjuster changes."
)
@click.option("--bike", metavar="FILE", help="For a shock: also tell speed and force at the rear wheel.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def command(
    file: str,
    low_speed: int | None,
    high_speed: int | None,
    rebound: int | None,
    oil_temp: str | None,
    speeds: str | None,
    position: str | None,
    altitude: str | None,
    stiffening: bool,
    show_clicks: bool,
    bike: str | None,
    as_json: bool,
) -> None:
    """Force and pressures of the damper in FILE at steady speeds, positive in compression."""
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.damping import WORKSHOP_OIL, damping_curve
    from forkwright.bench.damping_variations import click_effects
    from forkwright.bench.rear_answers import wheel_damping_answer
    from forkwright.bench.rear_damping import wheel_damping
    from forkwright.bench.rear_linkage import check_shock
    from forkwright.commands.output import print_json, print_warnings
    from forkwright.commands.people_options import bike_from
    from forkwright.commands.progress import working
    from forkwright.hardware import load_unit
    from forkwright.units.typed_in import read_quantity, read_speeds

    unit = load_unit(file)
    setting = clicked(unit, low_speed=low_speed, high_speed=high_speed, rebound=rebound)
    temperature = WORKSHOP_OIL if oil_temp is None else read_quantity(oil_temp, "temperature", "--oil-temp")
    height = 0.0 if altitude is None else read_quantity(altitude, "length", "--altitude")
    at_speeds = None if speeds is None else read_speeds(speeds, "--speeds")
    stands = None if position is None else read_quantity(position, "length", "--position")
    outside = Conditions.at(height).ambient_pressure
    with working("Solving the damper"):
        curve = damping_curve(
            unit, setting, temperature, at_speeds,
            position=stands, ambient_pressure=outside, stiffening=stiffening,
        )  # fmt: skip
        effects: tuple[ClickEffect, ...] = ()
        if show_clicks:
            effects = click_effects(
                unit, setting, temperature,
                position=stands, ambient_pressure=outside, stiffening=stiffening,
            )  # fmt: skip
    wheel = None
    if bike is not None:
        check_shock(unit)
        wheel = wheel_damping(bike_from(bike)[0], curve.speed, curve.force, stroke=curve.position)
    if as_json:
        print_json(as_dict(curve, effects) | (wheel_damping_answer(wheel) if wheel is not None else {}))
        return
    _print_tables(unit.name, curve, effects, wheel)
    print_warnings(curve.warnings)


def as_dict(curve: DampingCurve, effects: tuple[ClickEffect, ...] = ()) -> dict[str, object]:
    """Return the published shape of this command's answer."""
    from forkwright.bench.damping_answer import damping_answer

    answer = damping_answer(curve)
    if effects:
        answer["click_effects"] = [
            {
                "adjuster": effect.adjuster,
                "clicks": effect.clicks,
                "step": effect.step,
                "speed_m_s": effect.speed,
                "force_change_N": effect.force_change,
            }
            for effect in effects
        ]
    return answer


def _print_tables(
    name: str, curve: DampingCurve, effects: tuple[ClickEffect, ...], wheel: WheelDamping | None
) -> None:
    from rich.table import Table

    from forkwright.commands.output import console, number, unit_of
    from forkwright.physics.constants import ZERO_CELSIUS

    clicks = ", ".join(f"{adjuster.replace('_', ' ')} {n}" for adjuster, n in curve.clicks.items())
    title = (
        f"{name}: damping at {curve.oil_temperature - ZERO_CELSIUS:.0f} °C oil, {clicks or 'no adjusters'}"
    )
    table = Table(title=title)
    speed, force = unit_of("speed"), unit_of("force")
    headings = [f"speed ({speed})", f"force ({force})"]
    headings += ["compression chamber", "shaft side", "reservoir", "margin (bar)"]
    headings += [f"wheel speed ({speed})", f"at the wheel ({force})"] if wheel is not None else []
    for heading in headings:
        table.add_column(heading, justify="right")
    step = max(1, (curve.speed.size - 1) // 20)
    chambers = (curve.compression_chamber, curve.shaft_chamber, curve.reservoir, curve.cavitation_margin)
    for i in range(0, curve.speed.size, step):
        bars = (f"{chamber[i] / 1e5:.2f}" for chamber in chambers)
        at_wheel = [(wheel.speed[i], "speed"), (wheel.force[i], "force")] if wheel is not None else []
        told = (number(curve.speed[i], "speed"), number(curve.force[i], "force"), *bars)
        table.add_row(*told, *(number(value, kind) for value, kind in at_wheel))
    console().print(table)
    console().print("Chamber pressures are absolute, in bar.")
    if effects:
        console().print(_click_table(effects))


def _click_table(effects: tuple[ClickEffect, ...]) -> Table:
    from rich.table import Table

    from forkwright.commands.output import chosen_units, unit_of
    from forkwright.units import to_unit

    units = chosen_units()
    table = Table(title=f"What one click changes ({unit_of('force')})")
    table.add_column(f"speed ({unit_of('speed')})", justify="right")
    for effect in effects:
        way = "open" if effect.step > 0 else "closed"
        table.add_column(
            f"{effect.adjuster.replace('_', ' ')}\n{effect.clicks} to {effect.clicks + effect.step}\n({way})"
        )
    for row, speed in enumerate(effects[0].speed):
        changes = (to_unit(float(effect.force_change[row]), "force", units) for effect in effects)
        told = f"{to_unit(float(speed), 'speed', units):g}"
        table.add_row(told, *(f"{change:+.1f}" for change in changes))
    return table
