"""One-sided contact solved along a growing load: the exact piecewise-linear path.

Every contact has a gap ``s = A f + b + p g`` (``A`` the compliance of the contact points, ``b`` the gap at
rest, ``g`` its change per unit of load ``p``) and a force ``f``; gap and force are never negative and never
both positive. ``A`` is symmetric and positive definite, so the answer exists, is unique, and is the one that
makes the elastic energy least. Between changes of contact everything is linear in ``p``:
:func:`trace_contacts` walks from change to change by principal pivots and so gives every pressure at once.

Source
------
Cottle, Pang & Stone, *The Linear Complementarity Problem*, section 4.5 (parametric principal pivoting; from
memory). The least-index rule that keeps ties from cycling is Murty's (1974; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.contact_table import NOTHING, OVERLAP, RATE, SQUASH, STILL, VALUE, ContactTable
from forkwright.physics.errors import Unphysical
from forkwright.physics.values import Array

_PATIENCE = 10  # changes of a guessed contact set without progress before the sure way is taken


@dataclass(frozen=True)
class ContactPath:
    """Contact forces for every load from zero up.

    Attributes
    ----------
    load : ndarray, shape (k,)
        Loads at which the set of touching points changes, the first is zero (Pa, or N for a ring load).
    force : ndarray, shape (k, m)
        Contact forces there, N.
    last_rate : ndarray, shape (m,)
        Change of the forces per unit of load beyond the last change.
    """

    load: Array
    force: Array
    last_rate: Array

    def forces(self, load: Array) -> Array:
        """Forces (N, shape ``(len(load), m)``) at any loads >= 0 (Pa, or N for a ring load)."""
        piece = np.clip(np.searchsorted(self.load, load, side="right") - 1, 0, len(self.load) - 1)
        rates = np.vstack([np.diff(self.force, axis=0) / np.diff(self.load)[:, None], self.last_rate])
        force = self.force[piece] + (load - self.load[piece])[:, None] * rates[piece]
        rounding = NOTHING * force.max(axis=1, initial=0.0, keepdims=True)
        return np.where(force > rounding, force, 0.0)


def trace_contacts(
    compliance: Array, rest_gap: Array, gap_rate: Array, highest: float = np.inf
) -> ContactPath:
    """Follow the contacts from load zero up to `highest` (or until they change no more).

    Parameters
    ----------
    compliance : ndarray, shape (m, m)
        Gap opened at each contact per force at each contact, m/N; symmetric, positive definite.
    rest_gap : ndarray, shape (m,)
        Gaps with neither load nor contact force, m; negative where parts would overlap (preload).
    gap_rate : ndarray, shape (m,)
        Change of those gaps per unit of load, m/Pa (or m/N).
    highest : float
        Load to stop at (Pa or N).

    Returns
    -------
    ContactPath

    Raises
    ------
    Unphysical
        If the parts have no room (a preload that only crushed steel could allow).

    Notes
    -----
    Source: parametric linear complementarity, followed from change to change (Lemke-type pivoting, from
    memory).

    Examples
    --------
    One spring of 1 m/N that meets a stop after 1 m; the load moves it 1 m per unit.

    >>> path = trace_contacts(np.array([[1.0]]), np.array([1.0]), np.array([-1.0]))
    >>> path.load.tolist(), path.forces(np.array([0.5, 3.0])).round(9).ravel().tolist()
    ([0.0, 1.0], [0.0, 2.0])
    """
    size = len(rest_gap)
    if size == 0:
        return ContactPath(np.zeros(1), np.zeros((1, 0)), np.zeros(0))
    unit = 1.0 / np.sqrt(np.diagonal(compliance))
    overlap = np.minimum(rest_gap, 0.0)
    columns = np.column_stack([rest_gap - overlap, overlap, gap_rate]) * unit[:, None]
    table = ContactTable(compliance * unit[:, None] * unit, columns)
    if overlap.any():
        table.walk(OVERLAP, 1.0)
        table.entries[:, VALUE] += table.entries[:, OVERLAP]
        table.columns[:, VALUE] += table.columns[:, OVERLAP]
        _check_room(table, compliance, rest_gap, unit)
    loads, forces = table.walk(RATE, highest)
    last_rate = np.where(table.touching, table.entries[:, RATE], 0.0)
    return ContactPath(np.array(loads), np.array(forces) * unit, last_rate * unit)


def contact_forces(compliance: Array, gap: Array, touching: NDArray[np.bool_]) -> Array:
    """Solve one contact problem, starting from a guess of who touches.

    Parameters
    ----------
    compliance : ndarray, shape (m, m)
        m/N; symmetric, positive definite.
    gap : ndarray, shape (m,)
        Gaps without contact forces, m.
    touching : ndarray of bool, shape (m,)
        The guess.

    Returns
    -------
    ndarray, shape (m,)
        Contact forces, N.

    Raises
    ------
    Unphysical
        As :func:`trace_contacts`.

    Notes
    -----
    Source: linear complementarity by an active set (any text on contact mechanics).

    Examples
    --------
    >>> contact_forces(np.eye(2), np.array([-1.0, 2.0]), np.array([False, True])).round(9).tolist()
    [1.0, 0.0]
    """
    unit = 1.0 / np.sqrt(np.diagonal(compliance))
    matrix, side = compliance * unit[:, None] * unit, gap * unit
    matrix[np.arange(len(side)), np.arange(len(side))] += SQUASH
    small = STILL * np.abs(side).max(initial=0.0)
    fewest, left_to_try = len(side) + 1, _PATIENCE
    while left_to_try:
        answer = _held_touching(matrix, side, touching)
        if answer is None:
            break
        force, left = answer
        wrong = np.where(touching, force < -small, left < -small)
        count = int(np.count_nonzero(wrong))
        if count == 0:
            return np.asarray(np.maximum(force, 0.0) * unit)
        left_to_try = _PATIENCE if count < fewest else left_to_try - 1
        fewest = min(fewest, count)
        touching = touching ^ wrong
    return trace_contacts(compliance, gap, np.zeros(len(side)), 0.0).forces(np.zeros(1)).reshape(-1)


def _held_touching(matrix: Array, side: Array, touching: NDArray[np.bool_]) -> tuple[Array, Array] | None:
    """Return the forces that hold the `touching` points together, and all gaps; None if rounding forbids."""
    from scipy.linalg.lapack import dposv

    chosen = np.flatnonzero(touching)
    force = np.zeros(len(side))
    if len(chosen):
        _, force[chosen], fault = dposv(matrix[np.ix_(chosen, chosen)].T, -side[chosen], overwrite_a=True)
        if fault:
            return None
    return force, matrix[:, chosen] @ force[chosen] + side


def _check_room(table: ContactTable, compliance: Array, rest_gap: Array, unit: Array) -> None:
    force = np.where(table.touching, table.entries[:, VALUE], 0.0) * unit
    gap = rest_gap + compliance @ force
    if gap.min() < -1e-6 * np.abs(rest_gap).max():
        raise Unphysical("the stack has no room: a support and the seat squeeze the discs at the same radius")
