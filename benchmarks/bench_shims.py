"""Shim stacks: twelve discs at fifty pressures, against a general finite-element library.

Both solve the same contact problem from nothing (set-up included) and must agree within one per cent.
"""

from __future__ import annotations

import numpy as np

from benchmarks.reference_shims import ElementStack
from benchmarks.rows import Row, at_most, best_time, times_faster
from forkwright.physics.shims import Shim, ShimLoad, ShimStack, opening, opening_map

STEEL, NU, CLAMP, BORE, SEAT, PORT = 206e9, 0.3, 4e-3, 2e-3, 9.5e-3, (5e-3, 8e-3)
PRESSURES = np.linspace(0.0, 20e5, 50)
STACKS: dict[str, list[tuple[float, float]]] = {
    "face discs, crossover, taper": [
        *[(10e-3, 0.15e-3)] * 3,
        (6e-3, 0.10e-3),
        *[(radius * 1e-3, 0.15e-3) for radius in (9.5, 9.0, 8.5, 8.0, 7.5, 7.0)],
        *[(radius * 1e-3, 0.20e-3) for radius in (6.5, 6.0)],
    ],
    "every disc different": [((10.0 - 0.4 * i) * 1e-3, 0.15e-3) for i in range(12)],
}


def measure() -> list[Row]:
    """Return the rows of this file."""
    return [row for name in STACKS for row in _rows(name)]


def _rows(name: str) -> list[Row]:
    discs, load = STACKS[name], ShimLoad(*PORT)
    stack = ShimStack(tuple(Shim(*disc) for disc in discs), CLAMP, BORE, STEEL, NU)

    def reference() -> np.ndarray:
        return ElementStack(discs, CLAMP, STEEL, NU, PORT, SEAT, rings=40).opening(PRESSURES)

    def lifts() -> np.ndarray:
        return opening_map(stack, load, SEAT, PRESSURES[-1]).at(PRESSURES)

    difference = float(np.abs(lifts()[1:] / reference()[1:] - 1.0).max())
    if difference > 0.01:
        raise AssertionError(f"{name}: the two answers differ by {difference:.2%}")
    full = best_time(lambda: opening(stack, load, SEAT, PRESSURES))
    fast, slow = best_time(lifts), best_time(reference, repeats=3)
    return [
        at_most(f"12 shims ({name}), 50 pressures: lift, stress, contacts", full, 5e-3),
        times_faster(
            f"12 shims ({name}), 50 pressures: lift, within {difference:.1g} of the reference",
            fast,
            slow,
            "scikit-fem, 40 elements a disc",
            50.0,
        ),
    ]
