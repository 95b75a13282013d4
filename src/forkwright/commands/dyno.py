"""`forkwright dyno`: sine and step tests of a unit's damper on the virtual dynamometer."""

from __future__ import annotations

from contextlib import nullcontext
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import click_options, clicked
from forkwright.commands.progress import progress_bar

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager

    from forkwright.bench.dyno_result import DynoRun

LONG_RUN = 20.0
"""From this duration on (s) a progress bar is shown."""
ONLY_OF = {"sine": ("amplitude", "frequency", "duration"), "step": ("stroke", "speed", "hold", "cycles")}
"""Options that have a meaning in one test only."""


@click.command()
@click.argument("file", type=click.Path())
@click.option("--test", "kind", type=click.Choice(["sine", "step"]), default="sine", show_default=True)
@click.option("--amplitude", metavar="Q", default="25 mm", show_default=True, help="Sine: half the stroke.")
@click.option("--frequency", metavar="Q", default="1.6 Hz", show_default=True, help="Sine: frequency.")
@click.option(
    "--duration", metavar="Q", default="10 s", show_default=True, help="Sine: whole cycles are run."
)
@click.option("--stroke", metavar="Q", default="50 mm", show_default=True, help="Step: stroke.")
@click.option("--speed", metavar="Q", default="1 m/s", show_default=True, help="Step: speed both ways.")
@click.option("--hold", metavar="Q", default="0.1 s", show_default=True, help="Step: rest at both ends.")
@click.option("--cycles", type=int, default=2, show_default=True, help="Step: how often.")
@click.option("--centre", metavar="Q", help="Compression at mid-stroke. Without it: mid-travel.")
@click_options
@click.option("--oil-temp", metavar="Q", default="20 °C", show_default=True, help="Oil at the start.")
@click.option("--air-temp", metavar="Q", default="20 °C", show_default=True, help="Air around the damper.")
@click.option("--altitude", metavar="Q", default="0 m", show_default=True, help="Height above the sea.")
@click.option("--points", type=int, default=200, show_default=True, help="Points per cycle in the answer.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def command(
    file: str,
    kind: str,
    low_speed: int | None,
    high_speed: int | None,
    rebound: int | None,
    points: int,
    as_json: bool,
    **given: Any,
) -> None:
    """Move the damper in FILE to and fro: loops, energy per cycle, oil heat and fade."""
    from forkwright.bench.conditions import Conditions
    from forkwright.bench.dyno import sine_test, step_test
    from forkwright.bench.dyno_answer import dyno_answer
    from forkwright.commands.output import print_json, print_warnings
    from forkwright.hardware import load_unit
    from forkwright.units import InputError

    _refuse_of_other_test(kind)
    if not 20 <= points <= 5000:
        raise InputError("out of range", key="--points", value=str(points), allowed="20 to 5000")
    unit = load_unit(file)
    setting = clicked(unit, low_speed=low_speed, high_speed=high_speed, rebound=rebound)
    amounts = _amounts(given)
    common: dict[str, Any] = {"oil_temperature": amounts["oil_temp"]}
    common["ambient_temperature"] = amounts["air_temp"]
    common["ambient_pressure"] = Conditions.at(amounts["altitude"]).ambient_pressure
    common["centre"] = amounts.get("centre")
    with _bar(kind == "sine" and amounts["duration"] >= LONG_RUN) as progress:
        asked = {name: amounts[name] for name in ONLY_OF[kind] if name in amounts}
        if kind == "sine":
            run = sine_test(unit, setting, **asked, **common, progress=progress)
        else:
            run = step_test(
                unit,
                setting,
                **asked,
                cycles=given["cycles"],
                **common,
                progress=progress,
            )
    if as_json:
        print_json({"test": kind} | dyno_answer(run, points))
        return
    _print_table(unit.name, run)
    print_warnings(run.warnings)


def _refuse_of_other_test(kind: str) -> None:
    """Refuse an option that this test would pass over in silence."""
    from click.core import ParameterSource

    from forkwright.units import InputError

    context = click.get_current_context()
    for test, names in ONLY_OF.items():
        for name in names if test != kind else ():
            if context.get_parameter_source(name) is ParameterSource.COMMANDLINE:
                raise InputError(f"has no meaning in a {kind} test, only in a {test} test", key=f"--{name}")


def _amounts(given: dict[str, Any]) -> dict[str, float]:
    from forkwright.units.typed_in import read_quantity

    kinds = {
        "amplitude": "length",
        "frequency": "frequency",
        "duration": "time",
        "stroke": "length",
        "speed": "speed",
        "hold": "time",
        "centre": "length",
        "oil_temp": "temperature",
        "air_temp": "temperature",
        "altitude": "length",
    }
    return {
        name: read_quantity(given[name], kind, f"--{name.replace('_', '-')}")
        for name, kind in kinds.items()
        if given[name] is not None
    }


def _bar(wanted: bool) -> AbstractContextManager[Callable[[float], None] | None]:
    return progress_bar("On the dynamometer") if wanted else nullcontext()


def _print_table(name: str, run: DynoRun) -> None:
    from rich.table import Table

    from forkwright.commands.output import chosen_units, console, number, unit_of
    from forkwright.units import to_unit

    oil, force = unit_of("temperature"), unit_of("force")
    table = Table(title=f"{name} on the dynamometer")
    for heading in (
        "cycle",
        "energy (J)",
        f"oil ({oil})",
        f"peak compression ({force})",
        f"peak rebound ({force})",
    ):
        table.add_column(heading, justify="right")
    every = max(1, run.cycle_energy.size // 20)
    for i in range(0, run.cycle_energy.size, every):
        table.add_row(
            f"{i + 1}",
            f"{run.cycle_energy[i]:.2f}",
            number(run.cycle_temperature[i], "temperature"),
            *(number(peak, "force") for peak in run.cycle_peaks[i]),
        )
    console().print(table)
    widest = f"{to_unit(float(run.widest), 'force', chosen_units()):.1f} {force}"
    console().print(
        f"Last cycle: force-speed loop {run.hysteresis:.2f} N m/s in area, {widest} at its widest. "
        f"Fade since the second cycle: {100 * run.fade:.2f} %."
    )
