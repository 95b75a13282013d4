"""`forkwright revalve`: stacks from the drawer that come nearest to target forces."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from forkwright.commands.options import click_options, clicked
from forkwright.commands.progress import progress_bar

if TYPE_CHECKING:
    from forkwright.tune.revalve import RevalveAnswer


@click.command()
@click.argument("file", type=click.Path())
@click.option(
    "--valve", type=click.Choice(["base", "rebound", "mid"]), required=True, help="Which valve to build anew."
)
@click.option(
    "--target",
    "targets",
    multiple=True,
    required=True,
    metavar="'SPEED: FORCE'",
    help="A wanted force, such as '0.5 m/s: 180 N'; up to five. Rebound needs no minus signs.",
)
@click.option("--drawer", type=click.Path(), required=True, help="File with the shims at hand.")
@click_options
@click.option("--oil-temp", metavar="Q", default="20 °C", show_default=True, help="Oil temperature.")
@click.option("--most-discs", type=int, default=10, show_default=True, help="Most shims in a stack.")
@click.option("--budget", type=int, default=2000, show_default=True, help="Most stacks to solve.")
@click.option("--keep", type=int, default=5, show_default=True, help="Proposals wanted.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def command(
    file: str,
    valve: str,
    targets: tuple[str, ...],
    drawer: str,
    low_speed: int | None,
    high_speed: int | None,
    rebound: int | None,
    oil_temp: str,
    most_discs: int,
    budget: int,
    keep: int,
    as_json: bool,
) -> None:
    """Propose shim stacks for one valve of the unit in FILE; each is checked for stress."""
    from forkwright.commands.output import print_json, print_warnings
    from forkwright.hardware import load_unit
    from forkwright.hardware.drawer import load_drawer
    from forkwright.tune.revalve import revalve
    from forkwright.tune.revalve_answer import revalve_answer
    from forkwright.tune.revalve_targets import read_target
    from forkwright.units.typed_in import read_quantity

    _in_range("--most-discs", most_discs, 1, 40)
    _in_range("--budget", budget, 1, 1_000_000)
    _in_range("--keep", keep, 1, 50)
    unit, shims = load_unit(file), load_drawer(drawer)
    setting = clicked(unit, low_speed=low_speed, high_speed=high_speed, rebound=rebound)
    wanted = tuple(read_target(text, f"{valve}_valve", "--target") for text in targets)
    warm = read_quantity(oil_temp, "temperature", "--oil-temp")
    with progress_bar("Solving stacks") as progress:
        answer = revalve(
            unit,
            f"{valve}_valve",
            wanted,
            shims,
            setting,
            oil_temperature=warm,
            most_discs=most_discs,
            budget=budget,
            keep=keep,
            progress=progress,
        )
    if as_json:
        print_json(revalve_answer(answer))
        return
    _print_tables(unit.name, valve, answer)
    print_warnings(answer.warnings)


def _in_range(option: str, value: int, low: int, high: int) -> None:
    from forkwright.units import InputError

    if not low <= value <= high:
        raise InputError("out of range", key=option, value=str(value), allowed=f"{low} to {high}")


def _print_tables(name: str, valve: str, answer: RevalveAnswer) -> None:
    from rich.table import Table

    from forkwright.commands.output import console, number, signed, unit_of
    from forkwright.tune.revalve_answer import disc_words

    unit = unit_of("force")
    table = Table(title=f"{name}: stacks for the {valve} valve, nearest first")
    for heading in (
        "from the valve face",
        f"force ({unit})",
        f"off by ({unit})",
        "error (%)",
        "stress / yield (MPa)",
    ):
        table.add_column(heading)
    for label, one in (*((None, p) for p in answer.proposals), ("in it now", answer.present)):
        stack = "\n".join(disc_words(disc) for disc in one.discs)
        table.add_row(
            f"[{label}]\n{stack}".replace("[", "(").replace("]", ")") if label else stack,
            "\n".join(number(force, "force") for force in one.force),
            "\n".join(signed(off, "force").rpartition(" ")[0] for off in one.difference),
            f"{100 * one.error:.1f}",
            f"{one.stress / 1e6:.0f} / {one.yield_stress / 1e6:.0f}",
            end_section=True,
        )
    console().print(table)
    looked = "every one" if answer.exhaustive else "not every one: better ones may exist"
    console().print(f"Solved {answer.searched:,} of {answer.possible:,} possible stacks ({looked}).")
    console().print("A possible stack: " + "; ".join(answer.rules) + ".")
    if answer.overstressed:
        console().print(
            f"{answer.overstressed} nearer stacks were left out: a shim would pass its yield stress."
        )
    console().print(
        "Shims and springs are under load and the damper may hold pressure: take it apart as its maker's "
        "manual says, and check by hand that it moves freely and holds its oil before the first ride."
    )
