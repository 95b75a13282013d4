"""Do two units, or two settings of one, differ beyond what callipers and friction leave open?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.tune.compare import Comparison


@dataclass(frozen=True)
class Verdict:
    """How much of the shared travel differs, and by which yardstick.

    `beyond_tolerance` and `beyond_friction` are shares of the travel, 0 to 1. Beyond friction means that the
    difference is larger than the running friction of both units added: below that, one unit resting in its
    friction band can hide it.
    """

    beyond_tolerance: float
    beyond_friction: float
    beyond_both: float
    largest: float  # N, with its sign (B minus A)
    largest_at: float  # m
    words: str


def verdict(comparison: Comparison) -> Verdict:
    """Return whether the springs of a comparison differ beyond tolerance and friction.

    Notes
    -----
    Own definition: tolerance by the 5 % to 95 % band of the difference, friction by the sum of both units'
    running friction at the same travel.
    """
    difference = comparison.difference
    friction = np.interp(
        difference.travel, comparison.a.spring.travel, comparison.a.spring.friction
    ) + np.interp(difference.travel, comparison.b.spring.travel, comparison.b.spring.friction)
    felt = np.abs(difference.force) > friction
    both = felt & difference.beyond
    worst = int(np.argmax(np.abs(difference.force)))
    shares = [float(np.mean(mask)) for mask in (difference.beyond, felt, both)]
    tolerance, friction_share, both_share = shares
    return Verdict(
        beyond_tolerance=tolerance,
        beyond_friction=friction_share,
        beyond_both=both_share,
        largest=float(difference.force[worst]),
        largest_at=float(difference.travel[worst]),
        words=_verdict_words(*shares),
    )


def _verdict_words(tolerance: float, friction: float, both: float) -> str:
    if both > 0.0:
        return f"They differ beyond tolerance and friction over {both:.0%} of the travel."
    if tolerance > 0.0:
        return (
            f"They differ beyond the tolerances over {tolerance:.0%} of the travel, but nowhere by more than "
            "friction can hide."
        )
    if friction > 0.0:
        return (
            "The computed difference is larger than friction, but the measurements cannot tell it from none."
        )
    return "Neither the measurements nor friction let the two be told apart."
