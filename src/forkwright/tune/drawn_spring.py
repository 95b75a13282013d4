"""The nearest spring setting of every drawn unit at once: least squares, put on whole steps at the end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import spring_curve
from forkwright.hardware import Setting, Unit
from forkwright.physics import Unphysical
from forkwright.physics.values import Array
from forkwright.tune.spring_grid import (
    Yardstick,
    at_many,
    near_spacers,
    negative_steps,
    pressure_steps,
    secondary_steps,
)

TURNS = 4
"""Steps of the least squares; without a floating piston force is straight in pressure, and two are exact."""

PROBE = 2e3  # Pa, the difference by which slopes are taken
STIFFENING = 1e-6  # share of the mean square slope, so that what changes nothing stays where it is


@dataclass(frozen=True)
class DrawnSettings:
    """Nearest settings, one value per draw (SI, gauge), and the step each is a multiple of."""

    values: dict[str, Array]
    steps: dict[str, float]


def drawn_settings(
    unit: Unit,
    many: Unit,
    setting: Setting,
    yardstick: Yardstick,
    wanted: Array,
    conditions: Conditions | None,
    pump_step: float,
    secondary_step: float,
) -> DrawnSettings:
    """Return the pressures and spacers that bring every draw of a unit nearest to its own target.

    Parameters
    ----------
    unit, many : Unit
        As measured, and drawn, shape (draws, 1).
    setting : Setting
        Where the search begins.
    yardstick : Yardstick
        Travel and weights; its target is not used.
    wanted : array, shape (draws, travel)
        N.
    conditions, pump_step, secondary_step
        As in `nearest_spring` (Pa).

    Notes
    -----
    Source: Gauss-Newton with bounds (any text on least squares), once for every number of spacers near the
    one that was found; the pressures are put on whole steps at the end.
    """
    ranges = {
        "pressure": pressure_steps(unit, pump_step),
        "floating": secondary_steps(unit, setting, secondary_step),
        "negative_pressure": negative_steps(unit, setting, pump_step),
    }
    steps = {name: every for name, every in ranges.items() if every is not None}
    draws = len(wanted)
    errors, found, counts = [], [], []
    for count in near_spacers(unit, setting):
        try:
            fit = _Fit(many, setting, count, steps, yardstick, wanted, conditions)
        except Unphysical:
            continue  # with so many spacers some draws could not be built
        errors.append(fit.errors)
        found.append(fit.values)
        counts.append(count)
    best = np.argmin(np.stack(errors), axis=0)
    values, spacings = {}, {}
    for name, every in steps.items():
        spacings[name] = float(every[0])
        chosen = np.stack([one[name] for one in found])[best, np.arange(draws)]
        values[name] = spacings[name] * np.clip(np.rint(chosen / spacings[name]), 1, every.size)
    if len(counts) > 1:
        values["spacers"], spacings["spacers"] = np.array(counts, np.float64)[best], 0.5
    return DrawnSettings(values, spacings)


class _Fit:
    """Least squares with one number of spacers: `values` of the pressures (Pa) and `errors` (N2) by draw."""

    def __init__(
        self,
        many: Unit,
        setting: Setting,
        spacers: int,
        steps: dict[str, Array],
        yardstick: Yardstick,
        wanted: Array,
        conditions: Conditions | None,
    ) -> None:
        self._many, self._setting, self._spacers = many, setting, spacers
        self._yardstick, self._wanted, self._conditions = yardstick, wanted, conditions
        self._steps = steps
        now = {name: np.full((len(wanted), 1), getattr(setting, name).si) for name in steps}
        for _ in range(TURNS if "floating" in steps else 2):
            now = self._improved(now)
        self.errors: Array = (self._force(now) - wanted) ** 2 @ yardstick.weight
        self.values = {name: column[:, 0] for name, column in now.items()}

    def _force(self, now: dict[str, Array]) -> Array:
        drawn = at_many(self._many, self._setting, spacers=self._spacers, **now)
        return spring_curve(drawn, None, self._conditions, travel=self._yardstick.travel).force

    def _improved(self, now: dict[str, Array]) -> dict[str, Array]:
        """Take one step; a pressure that would leave its range stays on its end, the others give way."""
        force = self._force(now)
        residual = force - self._wanted
        slopes = np.stack(
            [(self._force(now | {name: column + PROBE}) - force) / PROBE for name, column in now.items()]
        )
        ends = [(every[0], every[-1]) for every in self._steps.values()]
        held = np.stack([column[:, 0] for column in now.values()])
        low, high = (np.array([end[side] for end in ends])[:, np.newaxis] for side in (0, 1))
        moved = np.clip(held + self._step(slopes, residual), low, high)
        fixed = (moved <= low) | (moved >= high)
        missed = residual + np.einsum("kn,knx->nx", np.where(fixed, moved - held, 0.0), slopes)
        again = self._step(np.where(fixed[:, :, np.newaxis], 0.0, slopes), missed)
        moved = np.where(fixed, moved, np.clip(held + again, low, high))
        return {name: moved[place][:, np.newaxis] for place, name in enumerate(now)}

    def _step(self, slopes: Array, residual: Array) -> Array:
        """Solve the normal equations of every draw, shape (pressures, draws)."""
        normal = np.einsum("knx,lnx,x->nkl", slopes, slopes, self._yardstick.weight)
        right = np.einsum("knx,nx,x->nk", slopes, residual, self._yardstick.weight)
        size = np.trace(normal, axis1=1, axis2=2) + 1e-300
        normal = normal + STIFFENING * size[:, np.newaxis, np.newaxis] * np.eye(len(slopes))
        return np.asarray(-np.linalg.solve(normal, right[:, :, np.newaxis])[:, :, 0].T, np.float64)
