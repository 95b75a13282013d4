"""`forkwright shims`: opening and stress of one shim stack against pressure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

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
    from forkwright.bench.stack_maps import stretch_words
    from forkwright.commands.output import print_json, print_warnings
    from forkwright.commands.progress import working
    from forkwright.hardware.shim_parts import as_stack
    from forkwright.hardware.stack import load_stack
    from forkwright.physics.shims import opening

    file = load_stack(stack)
    discs, load, seat = as_stack(file)
    parts: dict[str, Any] = {"fulcrum": file.fulcrum_part(), "backing_spring": file.spring_part()}
    with working("Solving the stack"):
        answer = opening(discs, load, seat, _pressures(pressures), stiffening=stiffening, **parts)
        notes = answer.warnings
        if not stiffening and any("more than half its thickness" in note for note in notes):
            stretched = opening(discs, load, seat, answer.pressure[-1:], stiffening=True, **parts)
            notes = (*notes, stretch_words(answer, stretched))
    if as_json:
        print_json(as_dict(answer) | {"warnings": list(notes)})
        return
    _print_table(file.name, answer)
    print_warnings(notes)


def as_dict(answer: ShimOpening) -> dict[str, object]:
    """Return the published shape of this command's answer."""
    return {
        "pressure_Pa": answer.pressure,
        "opening_m": answer.opening,
        "stress_Pa": answer.stress,
        "seat_reaction_N": answer.seat_reaction,
        "stiffening_share": answer.stiffening_share,
        "warnings": list(answer.warnings),
    }


def _pressures(text: str | None) -> NDArray[np.float64]:
    import numpy as np

    from forkwright.units import InputError, parse

    if text is None:
        return np.linspace(0.0, 20e5, 41)
    values = []
    for part in text.split(","):
        try:
            value = parse(part, "pressure").si
        except InputError as fault:
            raise InputError(fault.message, key="--pressures", value=part.strip()) from None
        if value < 0.0:
            raise InputError(
                "a shim stack opens one way only", key="--pressures", value=part.strip(), allowed="0 or more"
            )
        values.append(value)
    return np.array(values)


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
