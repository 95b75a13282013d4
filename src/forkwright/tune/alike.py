"""Whether two units can stand beside each other at all."""

from __future__ import annotations

from forkwright.hardware import Unit
from forkwright.units import InputError


def check_alike(a: Unit, b: Unit, done: str) -> None:
    """Refuse a fork beside a shock.

    Parameters
    ----------
    a, b : Unit
    done : str
        What was wanted, as "compared".

    Raises
    ------
    InputError
        If one is a fork and the other a shock: their strokes and loads have nothing in common.
    """
    if a.kind != b.kind:
        raise InputError(
            f"a fork and a shock are not {done}", key="kind", value=f"{a.kind}, {b.kind}",
            allowed="two forks or two shocks",
        )  # fmt: skip
