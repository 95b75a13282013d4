"""Two dampers drawn from their tolerances: how far the difference of their forces may be off."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

import numpy as np

from forkwright.bench.damper_setup import built_model, checked_position
from forkwright.bench.stack_maps import COARSE
from forkwright.hardware import Setting, Unit
from forkwright.physics import P0, Unphysical
from forkwright.physics.damper_circuit import steady_state
from forkwright.physics.values import Array
from forkwright.tune.paired_draws import one_by_one


def drawn_damping(
    a: Unit,
    b: Unit,
    many_a: Unit,
    many_b: Unit,
    setting_a: Setting,
    setting: Setting,
    speed: Array,
    oil_temperature: float,
    draws: int,
    progress: Callable[[float], None] | None,
) -> Array:
    """Return how the force of B less that of A moves, one row per pair of dampers that can exist, N.

    Parameters
    ----------
    a, b : Unit
        As measured.
    many_a, many_b : Unit
        Drawn together (see `paired_draws.paired`).
    setting_a, setting : Setting
        A's and B's.
    speed : array
        m/s.
    oil_temperature : float
        K.
    draws : int
        How many of the pairs are solved.
    progress : callable, optional
        Told the share done; may raise to stop.

    Notes
    -----
    Drawn and nominal dampers are solved alike coarsely, so that what that leaves out falls away.
    """

    def apart(one: Unit, other: Unit) -> Array:
        forces = (
            damping_force(unit, held, speed, oil_temperature, COARSE)
            for unit, held in ((one, setting_a), (other, setting))
        )
        return -next(forces) + next(forces)

    rows, nominal = [], apart(a, b)
    pairs = zip(one_by_one(many_a, draws), one_by_one(many_b, draws), strict=True)
    for number, (one, other) in enumerate(pairs, start=1):
        with suppress(Unphysical):  # a shim as narrow as its clamp, say
            rows.append(apart(one, other) - nominal)
        if progress is not None:
            progress(number / draws)
    if not rows:
        raise Unphysical("no draw from the tolerances gives a damper that can exist")
    return np.array(rows)


def damping_force(
    unit: Unit, setting: Setting, speed: Array, oil_temperature: float, fineness: int | None = None
) -> Array:
    """Return a damper's force at steady speeds (m/s), N, seal friction included; oil temperature in K."""
    place = checked_position(unit, None)
    model = built_model(unit, setting, oil_temperature, place, P0, fineness=fineness)
    return np.asarray(steady_state(model.circuit, speed).force, np.float64)
