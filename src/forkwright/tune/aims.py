"""What a setting is judged by: four aims, wishes as their weights, one number, and the trade-off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.units import InputError

AIMS: dict[str, str] = {
    "grip": "variation of the tyre's load (standard deviation over mean), lower is better",
    "comfort": "weighted hand acceleration, rms in m/s2, lower is better",
    "support": "mean travel used while riding, share of travel, lower is better",
    "margin": "deepest travel of the worst course, share of travel, lower is better",
}
"""The aims with their definition (own definitions on the scores of docs/ride.md)."""

STRONG = 3.0
"""How many times more an aim counts once it is wished for (own choice)."""

WISHES: dict[str, tuple[str, float]] = {
    "more grip": ("grip", STRONG),
    "more comfort": ("comfort", STRONG),
    "more support": ("support", STRONG),
    "more margin": ("margin", STRONG),
    "less grip": ("grip", 1 / STRONG),
    "less comfort": ("comfort", 1 / STRONG),
    "less support": ("support", 1 / STRONG),
    "less margin": ("margin", 1 / STRONG),
}
"""Wishes in plain words, the aim they speak of, and the factor on its weight."""


def weights_of(wishes: Sequence[str]) -> Array:
    """Return the weight of each aim for a list of wishes; equal without any.

    Raises
    ------
    InputError
        For a wish that is not in the list.
    """
    weights = dict.fromkeys(AIMS, 1.0)
    for wish in wishes:
        if wish not in WISHES:
            raise InputError("an unknown wish", key="--wish", value=wish, allowed=", ".join(WISHES))
        aim, factor = WISHES[wish]
        weights[aim] *= factor
    return np.array(list(weights.values()))


def wished_for(wishes: Sequence[str]) -> tuple[int, ...]:
    """Return the places in `AIMS` of those of which more is wished for."""
    weights = weights_of(wishes)
    return tuple(place for place in range(len(AIMS)) if weights[place] > 1.0)


def cost(aims: Array, weights: Array, ideal: Array, nadir: Array) -> Array:
    """Return one number per setting: lower is better.

    Parameters
    ----------
    aims : array
        Shape (..., 4).
    weights : array
        Shape (4,).
    ideal, nadir : array
        Best and worst of each aim among the settings that no other beats in everything, shape (4,).

    Notes
    -----
    Source: augmented weighted Chebyshev achievement function (Wierzbicki; e.g. Miettinen, *Nonlinear
    Multiobjective Optimization*, from memory): the worst weighted shortfall, plus a tenth of their mean.
    """
    span = np.where(nadir > ideal, nadir - ideal, 1.0)
    short = weights / weights.mean() * (aims - ideal) / span
    return np.asarray(short.max(axis=-1) + 0.1 * short.mean(axis=-1), np.float64)


def front(aims: Array) -> NDArray[np.int64]:
    """Return the indices of the settings that no other beats in every aim (the Pareto front), ascending.

    Parameters
    ----------
    aims : array
        Shape (n, k), lower is better; rows that are not finite are never on the front.

    Notes
    -----
    Source: definition of Pareto dominance. Sorted by their sum, a row can only be beaten by an earlier one,
    so each is compared with the front so far alone.
    """
    finite = np.flatnonzero(np.isfinite(aims).all(axis=1))
    order = finite[np.lexsort(aims[finite].T)]
    order = order[np.argsort(aims[order].sum(axis=1), kind="stable")]
    kept = np.empty((order.size, aims.shape[1]))
    chosen: list[int] = []
    for index in order:
        edge, row = kept[: len(chosen)], aims[index]
        beaten = (edge <= row).all(axis=1) & (edge < row).any(axis=1)
        if not beaten.any():
            kept[len(chosen)] = row
            chosen.append(int(index))
    return np.array(sorted(chosen), dtype=np.int64)
