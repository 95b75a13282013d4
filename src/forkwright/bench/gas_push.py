"""What a damper adds to a spring at rest: its gas pushes on the shaft, and its seal holds."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from forkwright.bench.conditions import Conditions
from forkwright.bench.damper_reservoir import reservoir_law
from forkwright.hardware import Unit
from forkwright.physics.values import Array

_POINTS = 65


def gas_push(
    unit: Unit, conditions: Conditions | None = None, *, exponent: float = 1.0
) -> Callable[[Array], Array]:
    """Return the push of a damper's oil on its shaft at rest, over the stroke; zero without a damper.

    Parameters
    ----------
    unit : Unit
    conditions : Conditions, optional
        By default sea level and 20 degC.
    exponent : float
        Polytropic exponent of the reservoir's gas.

    Returns
    -------
    callable
        N at strokes (m).

    Notes
    -----
    Source: statics (derived): all chambers at the reservoir's pressure p leave ``(p - p_amb) a`` on the shaft
    area a. The reservoir's law is that of the damper bench.
    """
    damper = unit.damper
    if damper is None:
        return lambda stroke: np.zeros_like(np.asarray(stroke, np.float64))
    ambient = (conditions or Conditions()).ambient_pressure
    area = float(np.mean(np.pi / 4.0 * damper.shaft.si**2))
    law = reservoir_law(damper.reservoir, ambient, exponent)
    places = np.linspace(0.0, float(np.max(unit.travel.si)), _POINTS)
    forces = np.array([(law.pressure(area * place) - ambient) * area for place in places])
    return lambda stroke: np.asarray(np.interp(stroke, places, forces), np.float64)


def seal_of(unit: Unit) -> float:
    """Return the friction of the damper's seal.

    Parameters
    ----------
    unit : Unit

    Returns
    -------
    float
        N; zero where it is not given.
    """
    damper = unit.damper
    return float(np.mean(damper.seal_friction.si)) if damper is not None and damper.seal_friction else 0.0
