"""What makes one judged setting better than another: nothing forbidden first, then the wishes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from forkwright.physics.values import Array
from forkwright.tune.aims import cost, front
from forkwright.tune.judged import Judged
from forkwright.units import InputError

GREATEST_MARGIN = 0.5
FULFILLED = 0.5
"""Share of what the trade-off offers against the present setting that a wish is to bring (own choice)."""

AGAINST_A_WISH = 1e2
"""Cost of falling short of that, by the share of the aim: where not all can be had, the worst is least."""

FORBIDDEN = 1e3
"""Where the costs of forbidden settings begin, so that the least forbidden is still found."""

Scale = tuple[Array, Array]
"""Best and worst of each aim, shape (4,) each."""


@dataclass(frozen=True)
class Goal:
    """Wishes and limits.

    Parameters
    ----------
    weights : array
        Of the aims, shape (4,).
    deepest : float
        Deepest travel allowed, share of the travel. Hard bottom-outs are never allowed.
    now : array, optional
        Aims of the present setting, shape (4,), where "more" is meant against it.
    wished : tuple of int
        Aims of which more is wished for.
    """

    weights: Array
    deepest: float
    now: Array | None = None
    wished: tuple[int, ...] = ()

    def against(self, now: Array, wished: Sequence[int]) -> Goal:
        """Return this goal with "more" of some aims meant against a present setting."""
        return replace(self, now=now, wished=tuple(wished))

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

        Notes
        -----
        Source: payoff table of multi-objective optimisation (e.g. Miettinen, *Nonlinear Multiobjective
        Optimization*, from memory). Each aim is measured from its best to its worst among the settings that
        are best in one aim, so that the cost does not depend on what else was looked at. While nothing
        allowed is known, those best in one aim of everything ridden are taken.
        """
        scale = self.scale(judged)
        return np.full(len(judged.values), np.inf) if scale is None else self.costs_on(judged, scale)

    def scale(self, judged: Judged) -> Scale | None:
        """Return best and worst of each aim on the trade-off; None where nothing could be ridden."""
        aims, fits = judged.aims, self.fits(judged)
        known = fits if fits.any() else np.asarray(np.isfinite(aims).all(axis=1), np.bool_)
        if not known.any():
            return None
        ends = aims[best_in_one(aims, known)]
        return ends.min(axis=0), ends.max(axis=0)

    def costs_on(self, judged: Judged, scale: Scale) -> Array:
        """Return the costs on a trade-off that is known from elsewhere; as `costs`."""
        costs = cost(judged.aims, self.weights, *scale)
        costs = costs + AGAINST_A_WISH * self._short_of_wishes(judged.aims, scale)
        return np.where(self.fits(judged), costs, self._forbidden(judged))

    def _short_of_wishes(self, aims: Array, scale: Scale) -> Array:
        """How far settings fall short of what is wished for, by the worst of the wishes, as a share of it."""
        if self.now is None or not self.wished:
            return np.zeros(len(aims))
        places = list(self.wished)
        now, ideal = self.now[places], scale[0][places]
        wanted = now - FULFILLED * np.maximum(now - ideal, 0.0)
        with np.errstate(invalid="ignore"):
            short = (aims[:, places] - wanted) / np.where(now > 0.0, now, 1.0)
        return np.asarray(np.where(short > 1e-9, short, 0.0).max(axis=1), np.float64)

    def in_one_aim(self, aim: int, judged: Judged) -> Array:
        """Return one aim as the cost, forbidden settings behind every allowed one, shape (n,)."""
        return np.where(self.fits(judged), judged.aims[:, aim], self._forbidden(judged))

    def ends(self) -> tuple[Callable[[Judged], Array], ...]:
        """Return the four rankings by one aim alone, whose best settings span the costs."""
        return tuple(partial(self.in_one_aim, aim) for aim in range(4))

    def _forbidden(self, judged: Judged) -> Array:
        """Costs of settings that are not allowed: the further beyond the limits, the more."""
        beyond = np.maximum(judged.deepest - self.deepest, 0.0)
        return np.asarray(FORBIDDEN * (1.0 + beyond) + judged.metal, np.float64)


def best_in_one(aims: Array, among: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the row best in each aim among some rows; ties go to the row with the smallest sum."""
    rows = np.flatnonzero(among)
    rows = rows[np.argsort(aims[rows].sum(axis=1), kind="stable")]
    return np.asarray(rows[np.argmin(aims[rows], axis=0)], np.int64)


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
