"""Two units drawn from their tolerances at once: what is one and the same part in both is drawn once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

import numpy as np

from forkwright.hardware import Unit, drawn, measures, replaced
from forkwright.hardware.fields import Part
from forkwright.physics.values import Array

AnyPart = TypeVar("AnyPart", bound=Part)


def paired(a: Unit, b: Unit, draws: int, seed: int) -> tuple[Unit, Unit]:
    """Return both units with every toleranced measure as a column of draws, shape (draws, 1).

    Parameters
    ----------
    a, b : Unit
        With the settings they are judged at.
    draws : int
    seed : int
        The same seed gives the same draws.

    Notes
    -----
    Own rule. Two files of one name whose measure is the same, tolerance included, speak of one reading of one
    part: after a service, or in another setting, its error is the same in both and is drawn once. What is
    set (pressures) is read anew each time. Units of different names share nothing.
    """
    many_a, many_b = drawn(a, draws, seed), drawn(b, draws, seed + 1)
    if a.name != b.name:
        return many_a, many_b
    before, after, held = measures(a), measures(b), measures(many_a)
    common = {
        path: held[path].si
        for path, measure in after.items()
        if measure.std
        and not path.startswith("setting.")
        and path in before
        and (before[path].si, before[path].std) == (measure.si, measure.std)
    }
    return many_a, replaced(many_b, common)


def one_by_one(many: AnyPart, draws: int) -> Iterator[AnyPart]:
    """Yield each draw of a drawn unit, rider or bike as one of plain numbers."""
    columns: dict[str, Array] = {
        path: np.ravel(measure.si) for path, measure in measures(many).items() if np.size(measure.si) > 1
    }
    for number in range(draws):
        yield replaced(many, {path: float(values[number]) for path, values in columns.items()})
