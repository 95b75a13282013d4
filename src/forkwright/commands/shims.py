"""`forkwright shims`: opening and stress of one shim stack against pressure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from forkwright.physics.shims import ShimOpening


@click.command()
@click.argument("stack", type=click.Path())
@click.option(
    "--pressures",
    metavar="LIST",
    help="Pressure differences, separated by commas, such as '0 bar, 1 bar, 40 psi'. "
    "Without it: 0 to 20 bar in 41 steps.",
)
@click.option("--stiffening", is_flag=True, help="Let the discs stretch as well as bend (nonlinear).")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def command(stack: str, pressures: str | None, stiffening: bool, as_json: bool) -> None:
    """Opening at the seat and peak stress of the shim stack in the file STACK."""
    from forkwright.bench.loose_stack import loose_stack, loose_stack_answer
    from forkwright.commands.output import print_json, print_warnings
    from forkwright.commands.progress import working
    from forkwright.hardware.stack import load_stack

    file = load_stack(stack)
    with working("Solving the stack"):
        answer = loose_stack(file, _pressures(pressures), stiffening=stiffening)
    if as_json:
        print_json(loose_stack_answer(answer))
        return
    _print_table(file.name, answer)
    print_warnings(answer.warnings)


def _pressures(text: str | None) -> NDArray[np.float64]:
    import numpy as np

    from forkwright.bench.loose_stack import USUAL_PRESSURES
    from forkwright.units.typed_in import read_pressures

    return USUAL_PRESSURES if text is None else np.array(read_pressures(text, "--pressures"))


def _print_table(name: str, answer: ShimOpening) -> None:
    from rich.table import Table

    from forkwright.commands.output import console

    table = Table(title=f"{name}: opening against pressure")
    for heading in ("pressure (bar)", "opening (mm)", "peak stress (MPa)", "on the seat (N)"):
        table.add_column(heading, justify="right")
    columns = (answer.pressure / 1e5, answer.opening * 1e3, answer.stress / 1e6, answer.seat_reaction)
    for pressure, opened, stress, seat in zip(*columns, strict=True):
        table.add_row(f"{pressure:.2f}", f"{opened:.4f}", f"{stress:.0f}", f"{seat:.1f}")
    console().print(table)
