"""Who touches whom, exchanged one by one: principal pivots on the table of contact equations.

Source
------
Cottle, Pang & Stone, *The Linear Complementarity Problem*, section 4.5 (parametric principal pivoting; from
memory). The least-index rule that keeps ties from cycling is Murty's (1974; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array

VALUE, OVERLAP, RATE = -3, -2, -1
"""The last three columns of the table: gap or force at no load, by overlap, and by load."""

STILL = 1e-10
"""Share of the largest rate below which a gap or force counts as not falling."""
NOTHING = 1e-10
"""Share of the largest contact force that is only rounding."""
SQUASH = 1e-12
"""Compliance of every contact point itself, as a share of the plates' own at that point."""

_TIE = 1e-14  # share of the largest gap below which a gap or force counts as zero
_SWAPS_UNCHECKED = 16  # pivots after which rounding is taken out
_CHANGES = 400  # changes of contact per contact point before giving up
_BLOCK = 8_000  # numbers changed at once: small enough that no thread is woken for it


class ContactTable:
    """The contact equations, solved for whichever of gap or force may be positive at each point.

    Parameters
    ----------
    matrix : array, shape (m, m)
        Compliance of the contact points, scaled to ones on its diagonal; no unit.
    columns : array, shape (m, 3)
        What is added to the gaps: at rest, by overlap and by the load (:data:`VALUE`, :data:`OVERLAP`,
        :data:`RATE`), scaled alike.
    """

    def __init__(self, matrix: Array, columns: Array) -> None:
        from scipy.linalg.blas import dger  # here, for it takes longer to load than a spring curve to compute

        self.add_product = dger
        self.size, self.matrix, self.columns = len(matrix), matrix, columns
        self.swaps = 0
        self.entries = np.asfortranarray(np.hstack([matrix, columns]))
        self.entries[np.arange(self.size), np.arange(self.size)] += SQUASH
        self.stride = max(_BLOCK // self.size, 1)
        self.largest = np.abs(columns).max(axis=0)
        self.touching = np.zeros(self.size, dtype=bool)

    def walk(self, direction: int, end: float) -> tuple[list[float], list[Array]]:
        """Grow the load from 0 to `end`; return the loads where contact changes and the forces there."""
        load = 0.0
        loads: list[float] = []
        forces: list[Array] = []
        for _ in range(_CHANGES * (self.size + 1)):
            values = self.entries[:, VALUE] + load * self.entries[:, direction]
            small = _TIE * (self.largest[VALUE] + load * self.largest[direction])
            self._settle(values <= small, direction)
            if not loads or self.swaps > _SWAPS_UNCHECKED:
                self._refine()
            values = self.entries[:, VALUE] + load * self.entries[:, direction]
            if not loads or load > loads[-1]:
                loads.append(load)
                pressed = np.where(self.touching, values, 0.0)
                forces.append(np.where(pressed > NOTHING * pressed.max(), pressed, 0.0))
            rates = self.entries[:, direction]
            falling = rates < -STILL * self.largest[direction]
            if not falling.any():
                return loads, forces
            load += max(float(np.min(np.maximum(values[falling], 0.0) / -rates[falling])), 0.0)
            if load >= end:
                return loads, forces
        raise Unphysical("the contacts of the shim stack do not settle")

    def _settle(self, free: NDArray[np.bool_], direction: int) -> None:
        """Choose, among points whose gap and force are both zero (`free`), which of the two grows.

        The swap that gains most energy comes first; should that go round in circles, the lowest number.
        """
        smallest = -STILL * self.largest[direction]
        diagonal = np.arange(self.size)
        for count in range(100 * self.size):
            rates = self.entries[:, direction]
            wrong = free & (rates < smallest)
            if not wrong.any():
                return
            gain = np.where(wrong, rates**2 / self.entries[diagonal, diagonal], 0.0)
            self.swap(int(np.argmax(gain if count < 5 * self.size else wrong)))
        raise Unphysical("the contacts of the shim stack do not settle")

    def _refine(self) -> None:
        """Take rounding out: push until the touching points really touch, then measure the gaps."""
        self.swaps = 0
        answers = self.entries[:, self.size :]
        force = np.where(self.touching[:, None], answers, 0.0)
        for _ in range(2):
            gap = self.matrix @ force + SQUASH * force + self.columns
            touching_gap = np.where(self.touching[:, None], gap, 0.0)
            force = force - np.where(self.touching[:, None], self.entries[:, : self.size] @ touching_gap, 0.0)
        gap = self.matrix @ force + self.columns
        answers[:] = np.where(self.touching[:, None], force, gap)

    def swap(self, k: int) -> None:
        """Exchange gap and force at point k (a principal pivot)."""
        self.swaps += 1
        table, pivot = self.entries, self.entries[k, k]
        row, column = table[k] / pivot, table[:, k].copy()
        column[k] = 0.0
        for first in range(0, table.shape[1], self.stride):
            part = slice(first, first + self.stride)
            self.add_product(-1.0, column, row[part], a=table[:, part], overwrite_a=True)
        table[:, k] = column / pivot
        table[k] = -row
        table[k, k] = 1.0 / pivot
        self.touching[k] = not self.touching[k]
