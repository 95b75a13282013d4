"""What makes one judged setting better than another: nothing forbidden first, then the wishes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.tune.aims import Judged, cost, front
from forkwright.units import InputError

GREATEST_MARGIN = 0.5
FORBIDDEN = 1e3
"""Where the costs of forbidden settings begin, so that the least forbidden is still found."""


@dataclass(frozen=True)
class Goal:
    """Wishes and limits.

    Parameters
    ----------
    weights : array
        Of the aims, shape (4,).
    deepest : float
        Deepest travel allowed, share of the travel. Hard bottom-outs are never allowed.
    """

    weights: Array
    deepest: float

    def fits(self, judged: Judged) -> NDArray[np.bool_]:
        """Tell which settings are allowed, shape (n,)."""
        ridden = np.isfinite(judged.by_course).all(axis=(1, 2))
        return np.asarray(ridden & (judged.deepest <= self.deepest + 1e-9) & (judged.metal == 0.0), np.bool_)

    def edge(self, judged: Judged) -> NDArray[np.int64]:
        """Return the allowed settings that no other allowed one beats in every aim (the trade-off)."""
        allowed = np.flatnonzero(self.fits(judged))
        return np.asarray(allowed[front(judged.aims[allowed])], np.int64)

    def costs(self, judged: Judged) -> Array:
        """Return one number per setting, lower is better: forbidden ones stand behind every allowed one.

        Aims are measured between their best and worst on the trade-off of what is allowed; while nothing
        allowed is known, on that of everything ridden.
        """
        aims = judged.aims
        among = self.edge(judged)
        if among.size == 0:
            among = front(aims)
        if among.size == 0:
            return np.full(len(aims), np.inf)
        costs = cost(aims, self.weights, aims[among].min(axis=0), aims[among].max(axis=0))
        beyond = np.maximum(judged.deepest - self.deepest, 0.0)
        return np.where(self.fits(judged), costs, FORBIDDEN * (1.0 + beyond) + judged.metal)


def deepest_for(margin: float) -> float:
    """Return the deepest travel allowed, share of the travel, for a margin left on the biggest event.

    Raises
    ------
    InputError
        For a margin that is negative or more than half of the travel.
    """
    if not 0.0 <= margin <= GREATEST_MARGIN:
        raise InputError(
            "the margin on the biggest event is out of range",
            key="--margin",
            value=f"{margin:.0%} of the travel",
            allowed=f"0 % to {GREATEST_MARGIN:.0%}",
        )
    return 1.0 - margin
