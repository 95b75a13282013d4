"""The clicks at which one damper comes nearest to another, and what clicks cannot take away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike

from forkwright.bench.damper_difference import COMPARED_SPEEDS
from forkwright.bench.damper_setup import built_model, checked_position, checked_speeds, damper_of
from forkwright.bench.damping import WORKSHOP_OIL
from forkwright.hardware import Setting, Unit
from forkwright.physics import P0, Unphysical
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.values import Array
from forkwright.units import InputError


@dataclass(frozen=True)
class NearestClicks:
    """Clicks of the second damper that come nearest to the first.

    Parameters
    ----------
    clicks : dict of str to int
        Of the second unit, from fully closed.
    speed : ndarray, shape (n,)
        m/s.
    wanted, reached : ndarray, shape (n,)
        Force of the first, and of the second at these clicks (N).
    remainder : ndarray, shape (n,)
        `reached` less `wanted` (N): what clicks cannot take away.
    rms : float
        Weighted root mean square of the remainder (N).
    before : float
        The same with the second unit's clicks as they were given (N).
    searched : int
        Click combinations solved.
    at_end : tuple of str
        Adjusters that stand at either end: the stack, not the clicks, is the limit.
    """

    clicks: dict[str, int]
    speed: Array
    wanted: Array
    reached: Array
    remainder: Array
    rms: float
    before: float
    searched: int
    at_end: tuple[str, ...]


def nearest_clicks(
    first: Unit,
    second: Unit,
    first_setting: Setting | None = None,
    second_setting: Setting | None = None,
    *,
    oil_temperature: float = WORKSHOP_OIL,
    speeds: ArrayLike | None = None,
    weights: ArrayLike | None = None,
) -> NearestClicks:
    """Find the clicks of the second unit whose damping comes nearest to the first's.

    Parameters
    ----------
    first, second : Unit
    first_setting, second_setting : Setting, optional
        The units' own when None.
    oil_temperature : float
        K, in both.
    speeds : array_like, shape (n,), optional
        m/s.
    weights : array_like, shape (n,), optional
        How much each speed counts (no unit), for example the share of time spent there; all alike when None.

    Returns
    -------
    NearestClicks

    Notes
    -----
    The compression adjusters are tried in every combination, then the rebound adjuster at every click, and
    so on until neither turn improves: the answer is best in each turn, which need not be best of all where
    a rebound bleed also acts in compression.

    Raises
    ------
    InputError
        If either unit has no damper or the weights do not fit the speeds.
    """
    speed = checked_speeds(COMPARED_SPEEDS if speeds is None else speeds)
    weight = _checked_weights(weights, speed)
    wanted = _forces(first, first.setting if first_setting is None else first_setting, oil_temperature, speed)
    setting = second.setting if second_setting is None else second_setting
    search = _Search(second, setting, oil_temperature, speed, wanted, weight)
    start = {
        name: most // 2 if getattr(setting, name) is None else getattr(setting, name)
        for name, most in search.ranges.items()
    }
    best, before = search.settle(start)
    reached = _forces(second, setting.changed(**best), oil_temperature, speed)
    ends = tuple(name for name, clicks in best.items() if clicks in (0, search.ranges[name]))
    return NearestClicks(
        best,
        speed,
        wanted,
        reached,
        reached - wanted,
        search.rms(best),
        before,
        len(search.known),
        ends,
    )


class _Search:
    """The second damper at any clicks, each combination solved once."""

    def __init__(
        self, unit: Unit, setting: Setting, oil_temperature: float, speed: Array, wanted: Array, weight: Array
    ) -> None:
        self.unit, self.setting, self.temperature = unit, setting, oil_temperature
        self.speed, self.wanted, self.weight = speed, wanted, weight
        self.ranges = damper_of(unit).click_ranges()
        self.known: dict[tuple[int, ...], float] = {}

    def rms(self, clicks: dict[str, int]) -> float:
        """Weighted root mean square of the force difference (N); infinite where it cannot be solved."""
        key = tuple(clicks[name] for name in self.ranges)
        if key not in self.known:
            try:
                force = _forces(self.unit, self.setting.changed(**clicks), self.temperature, self.speed)
                off = np.sqrt(np.average((force - self.wanted) ** 2, weights=self.weight))
            except Unphysical:
                off = np.inf
            self.known[key] = float(off)
        return self.known[key]

    def settle(self, start: dict[str, int]) -> tuple[dict[str, int], float]:
        """Take turns until none improves; return the clicks and the rms at the start."""
        best, before = start, self.rms(start)
        for _ in range(20):
            last = best
            for turn in (("low_speed", "high_speed"), ("rebound",)):
                best = min(self._choices(best, turn), key=self.rms)
            if self.rms(best) >= self.rms(last):
                return last, before
        return best, before

    def _choices(self, clicks: dict[str, int], turn: tuple[str, ...]) -> Iterator[dict[str, int]]:
        names = [name for name in turn if name in self.ranges]
        yield clicks
        for numbers in product(*(range(self.ranges[name] + 1) for name in names)):
            yield clicks | dict(zip(names, numbers, strict=True))


def _forces(unit: Unit, setting: Setting, oil_temperature: float, speed: Array) -> Array:
    model = built_model(unit, setting, oil_temperature, checked_position(unit, None), P0)
    return steady_state(model.circuit, speed).force


def _checked_weights(weights: ArrayLike | None, speed: Array) -> Array:
    if weights is None:
        return np.ones_like(speed)
    weight = np.asarray(weights, float)
    if weight.shape != speed.shape or not np.all(weight >= 0.0) or not weight.sum() > 0.0:
        raise InputError(
            "weights must be as many as the speeds, not negative, and not all zero", key="weights"
        )
    return weight
